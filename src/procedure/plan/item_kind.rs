use crate::procedure::entry::{Moment, Output, ProtectionKind};

use super::FindingKind;

/// What an item asks for.
#[derive(Clone, Debug, PartialEq)]
pub enum ItemKind {
    /// Yes or no: is it so?
    Confirm {
        /// What the program shows before it asks.
        shows: Option<FindingKind>,
        /// What the output is connected to once it is so.
        connects: Option<Output>,
    },
    /// Words.
    Ask {
        /// Whether it may stay without words.
        optional: bool,
        /// What the program shows before it asks.
        shows: Option<FindingKind>,
    },
    /// The number on the display at every step, the brightest first.
    Read {
        /// What the output is connected to.
        output: Output,
        /// What is read at each step before the next comes, in this order.
        moments: Vec<Moment>,
    },
    /// A protection is set and tried.
    Prove {
        /// Which one.
        protection: ProtectionKind,
        /// What the output is connected to.
        output: Output,
        /// Set-point over the nominal of the top step; `None` where there is none.
        set_ratio: Option<f64>,
        /// How far from the set-point it may act, over the set-point; `None` where nothing is said.
        within_ratio: Option<f64>,
        /// Shortest time in which it may act; `None` where nothing is said.
        shortest_s: Option<f64>,
        /// Longest time.
        longest_s: Option<f64>,
        /// Where set-point and times come from.
        source: Option<String>,
    },
    /// The visit ends.
    Close,
}

impl ItemKind {
    /// The name used in files.
    #[must_use]
    pub fn key(&self) -> &'static str {
        match self {
            Self::Confirm { .. } => "confirm",
            Self::Ask { .. } => "ask",
            Self::Read { .. } => "read",
            Self::Prove { .. } => "prove",
            Self::Close => "close",
        }
    }
}

use crate::procedure::entry::{Confirmation, Moment, Output, ReadingTaken};

use super::{Item, Stage};

/// What comes next in a visit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Next<'a> {
    /// A question of yes or no, or for words.
    Answer {
        /// Its stage.
        stage: &'a Stage,
        /// The item.
        item: &'a Item,
        /// The answer "no" that stops everything behind it.
        refused: Option<&'a Confirmation>,
    },
    /// A number is to be read.
    Read {
        /// Its stage.
        stage: &'a Stage,
        /// The item.
        item: &'a Item,
        /// Number of the step.
        step: u32,
        /// As found or as left.
        moment: Moment,
        /// What the output is connected to.
        output: Output,
        /// What was last read at this step and output, and is not yet right.
        last: Option<&'a ReadingTaken>,
    },
    /// A protection is to be tried.
    Prove {
        /// Its stage.
        stage: &'a Stage,
        /// The item.
        item: &'a Item,
    },
    /// The visit is to be closed.
    Close {
        /// Its stage.
        stage: &'a Stage,
        /// The item.
        item: &'a Item,
    },
    /// The visit is closed.
    Finished,
}

impl<'a> Next<'a> {
    /// The item it is about; `None` when the visit is closed.
    #[must_use]
    pub fn item(&self) -> Option<&'a Item> {
        match self {
            Self::Answer { item, .. }
            | Self::Read { item, .. }
            | Self::Prove { item, .. }
            | Self::Close { item, .. } => Some(item),
            Self::Finished => None,
        }
    }

    /// The stage of that item.
    #[must_use]
    pub fn stage(&self) -> Option<&'a Stage> {
        match self {
            Self::Answer { stage, .. }
            | Self::Read { stage, .. }
            | Self::Prove { stage, .. }
            | Self::Close { stage, .. } => Some(stage),
            Self::Finished => None,
        }
    }
}

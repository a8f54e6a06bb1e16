use std::ops::Range;

use crate::error::{Bounds, Error, Result};

/// An exact share of a sweep: part k of n.
///
/// # Formula
/// Circuits ⌊(k − 1) N/n⌋ up to, not including, ⌊k N/n⌋: every circuit in one part, sizes that differ
/// by one at most.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Part {
    number: u64,
    of: u64,
}

impl Part {
    /// All of it.
    pub const WHOLE: Self = Self { number: 1, of: 1 };
    /// Parts of a sweep.
    pub const COUNT: Bounds = Bounds::new("parts of a sweep", "", 1.0, 1e6);

    /// Part `number`, counted from 1, of so many.
    ///
    /// # Errors
    /// `OutOfRange` for too many parts, or a number that is not among them.
    pub fn new(number: u64, of: u64) -> Result<Self> {
        Self::COUNT.check(of as f64)?;
        Bounds::new("number of the part", "", 1.0, of as f64).check(number as f64)?;
        Ok(Self { number, of })
    }

    /// Its number, from 1.
    #[must_use]
    pub fn number(self) -> u64 {
        self.number
    }

    /// How many parts there are.
    #[must_use]
    pub fn of(self) -> u64 {
        self.of
    }

    /// Its circuits among so many.
    #[must_use]
    pub fn circuits(self, total: u64) -> Range<u64> {
        let edge = |part: u64| (u128::from(part) * u128::from(total) / u128::from(self.of)) as u64;
        edge(self.number - 1)..edge(self.number)
    }
}

impl std::str::FromStr for Part {
    type Err = Error;

    fn from_str(text: &str) -> Result<Self> {
        let form = || Error::malformed("a part such as 2/8", format!("\"{text}\""));
        let (number, of) = text.split_once('/').ok_or_else(form)?;
        let whole = |text: &str| text.trim().parse().map_err(|_| form());
        Self::new(whole(number)?, whole(of)?)
    }
}

impl std::fmt::Display for Part {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}/{}", self.number, self.of)
    }
}

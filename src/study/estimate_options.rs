use crate::error::{Bounds, Error, Result};

/// How an estimate is made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct EstimateOptions {
    /// Circuits the intervals are taken from.
    pub circuits: u64,
    /// Pairs of circuits the sensitivity indices are taken from; 0 for none. Both circuits of each
    /// pair count among `circuits`; one more for each group of tolerances does not.
    pub pairs: u64,
    /// Seed of the random numbers.
    pub seed: u64,
}

impl Default for EstimateOptions {
    fn default() -> Self {
        Self { circuits: 1000, pairs: 128, seed: 1 }
    }
}

impl EstimateOptions {
    /// Circuits: with fewer than 200 a 95 % interval has no confidence interval of its own.
    pub const CIRCUITS: Bounds = Bounds::new("circuits of an estimate", "", 200.0, 1e9);
    /// Pairs: with fewer the indices have no standard error.
    pub const PAIRS: Bounds = Bounds::new("pairs of circuits", "", 40.0, 1e8);

    /// The same options, when an estimate can be made with them.
    ///
    /// # Errors
    /// `OutOfRange` for a number out of bounds; `Inconsistent` for more pairs than circuits give.
    pub fn check(self) -> Result<Self> {
        Self::CIRCUITS.check(self.circuits as f64)?;
        if self.pairs == 0 {
            return Ok(self);
        }
        Self::PAIRS.check(self.pairs as f64)?;
        if self.circuits / 2 < self.pairs {
            let (pairs, circuits) = (self.pairs, self.circuits);
            return Err(Error::inconsistent(format!(
                "{circuits} circuits do not make {pairs} pairs"
            ))
            .with_hint("at most half as many pairs as circuits; 0 for no indices"));
        }
        Ok(self)
    }
}

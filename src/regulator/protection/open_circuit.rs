use crate::error::{Bounds, Result};

use super::{OvercurrentStage, TimeLimit};

/// Protection against an open loop: next to no current although a step is called for.
#[derive(Clone, Debug, PartialEq)]
pub struct OpenCircuit {
    /// Current over rated current below which the loop counts as open.
    pub below_ratio: f64,
    /// Time it must stay below.
    pub delay_s: f64,
    /// The times allowed.
    pub limit: Option<TimeLimit>,
}

impl OpenCircuit {
    /// Current over rated; the dimmest steps of a circuit lie at about 0.4.
    pub const BELOW_RATIO: Bounds =
        Bounds::new("current of an open loop over rated", "", 0.001, 0.4);

    /// Refuses a watch that makes no sense.
    ///
    /// # Errors
    /// `OutOfRange` outside the bounds; otherwise as [`TimeLimit::check`].
    pub fn check(&self) -> Result<()> {
        Self::BELOW_RATIO.check(self.below_ratio)?;
        OvercurrentStage::DELAY_S.check(self.delay_s)?;
        self.limit.as_ref().map_or(Ok(()), TimeLimit::check)
    }
}

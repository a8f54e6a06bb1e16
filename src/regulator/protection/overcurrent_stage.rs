use crate::error::{Bounds, Error, Result};

use super::TimeLimit;

/// One stage of an overcurrent protection: from which current it counts, how long it waits, and what
/// it is held against.
#[derive(Clone, Debug, PartialEq)]
pub struct OvercurrentStage {
    /// Set-point over rated current: from here on the timer runs.
    pub pickup_ratio: f64,
    /// Time the detector must stay at or above the set-point.
    pub delay_s: f64,
    /// The current over rated current at which the stage is tried, with the times allowed there.
    pub tried: Option<(f64, TimeLimit)>,
}

impl OvercurrentStage {
    /// Set-point over rated current; at 1 and below it would act in service.
    pub const PICKUP_RATIO: Bounds =
        Bounds::new("overcurrent pick-up over rated current", "", 1.001, 3.0);
    /// Current at which a stage is tried, over rated current.
    pub const TRIED_RATIO: Bounds =
        Bounds::new("current at which a protection is tried, over rated", "", 1.001, 3.0);
    /// Delay.
    pub const DELAY_S: Bounds = Bounds::new("delay of a protection", "s", 0.0, 600.0);

    /// Refuses a stage that makes no sense.
    ///
    /// # Errors
    /// `OutOfRange` outside the bounds above; `Inconsistent` when it is tried at a current at which it
    /// does not act; otherwise as [`TimeLimit::check`].
    pub fn check(&self) -> Result<()> {
        Self::PICKUP_RATIO.check(self.pickup_ratio)?;
        Self::DELAY_S.check(self.delay_s)?;
        let Some((tried_ratio, limit)) = &self.tried else { return Ok(()) };
        Self::TRIED_RATIO.check(*tried_ratio)?;
        limit.check()?;
        if *tried_ratio <= self.pickup_ratio {
            return Err(Error::inconsistent(format!(
                "a stage that picks up at {:.4} times rated current cannot be tried at {tried_ratio:.4}",
                self.pickup_ratio
            ))
            .with_hint("the pick-up lies below the current at which the times are asked for"));
        }
        Ok(())
    }
}

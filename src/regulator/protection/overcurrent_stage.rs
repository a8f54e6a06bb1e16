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
    /// How far from that current it may act, over that current; `None` for our own choice,
    /// [`Self::WITHIN_OWN_RATIO`].
    pub tried_within_ratio: Option<f64>,
}

impl OvercurrentStage {
    /// Set-point over rated current; at 1 and below it would act in service.
    pub const PICKUP_RATIO: Bounds =
        Bounds::new("overcurrent pick-up over rated current", "", 1.001, 3.0);
    /// Current at which a stage is tried, over rated current.
    pub const TRIED_RATIO: Bounds =
        Bounds::new("current at which a protection is tried, over rated", "", 1.001, 3.0);
    /// How far from the current at which it is tried a stage may act, over that current.
    pub const WITHIN_RATIO: Bounds =
        Bounds::new("how far from where it is tried a protection may act", "", 0.001, 0.2);
    /// What is taken for that where nothing is said. Our own choice, no source: about what a clamp adds
    /// to a set-point that lies a few percent above the top step.
    pub const WITHIN_OWN_RATIO: f64 = 0.02;
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
        if let Some(within_ratio) = self.tried_within_ratio {
            Self::WITHIN_RATIO.check(within_ratio)?;
        }
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

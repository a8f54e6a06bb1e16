use crate::lamp::{LampEffect, LifeChange};
use crate::regulator::Placement;

use super::FoundCurrent;

/// What the current found at a step meant for light and lamps, against the step's nominal.
#[derive(Clone, Debug, PartialEq)]
pub struct Consequence {
    /// The current.
    pub found: FoundCurrent,
    /// Where it lies against the band.
    pub placement: Placement,
    /// Effect at the best estimate.
    pub effect: LampEffect,
    /// Light at the lower and upper end of what is known; `None` where the law says no more than the
    /// direction.
    pub light_range: Option<(f64, f64)>,
    /// Life at the upper and lower end of what is known, shorter first; `None` where the law does not
    /// say a number.
    pub life_range: Option<(f64, f64)>,
    /// Hours a year at this step; 0 where nobody said.
    pub hours: f64,
}

impl Consequence {
    /// Life against that at the nominal, where the law says a number.
    #[must_use]
    pub fn life_ratio(&self) -> Option<f64> {
        match self.effect.life {
            LifeChange::Ratio(ratio) => Some(ratio),
            _ => None,
        }
    }
}

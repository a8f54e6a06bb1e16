use crate::error::{Bounds, Error, Result};

/// How many hours a year each brightness step burns.
#[derive(Clone, Debug, PartialEq)]
pub struct BurningHours {
    by_step: Vec<(u32, f64)>,
}

impl BurningHours {
    /// Hours of one step in a year.
    pub const HOURS: Bounds = Bounds::new("burning hours of a step in a year", "h", 0.0, 8784.0);

    /// From pairs of step number and hours.
    ///
    /// # Errors
    /// `OutOfRange` for hours out of bounds; `Inconsistent` for a step named twice or more hours
    /// altogether than a year has.
    pub fn new(by_step: Vec<(u32, f64)>) -> Result<Self> {
        for (place, (step, hours)) in by_step.iter().enumerate() {
            Self::HOURS
                .check(*hours)
                .map_err(|error| error.with_context(format!("step {step}")))?;
            if by_step[..place].iter().any(|(earlier, _)| earlier == step) {
                return Err(Error::inconsistent(format!(
                    "the hours of step {step} are given twice"
                )));
            }
        }
        let all: f64 = by_step.iter().map(|(_, hours)| hours).sum();
        if all > Self::HOURS.max {
            return Err(Error::inconsistent(format!(
                "the steps burn {all} h altogether, more than the {} h of a leap year",
                Self::HOURS.max
            )));
        }
        Ok(Self { by_step })
    }

    /// Hours of a step; 0 for one that is not named.
    #[must_use]
    pub fn of(&self, step: u32) -> f64 {
        self.by_step.iter().find(|(named, _)| *named == step).map_or(0.0, |(_, hours)| *hours)
    }

    /// The steps named with their hours, as given.
    #[must_use]
    pub fn by_step(&self) -> &[(u32, f64)] {
        &self.by_step
    }
}

use super::{GuardBand, Limits, Outcome};
use crate::error::Result;
use crate::uncertainty::Expanded;

/// A decision rule worked out for one tolerance and one uncertainty.
///
/// # Example
/// ```
/// use loopcrest::uncertainty::Estimate;
/// use loopcrest::uncertainty::decision::{Acceptance, GuardBand, Limits, Outcome};
/// let band = Limits::between(6.40, 6.70).unwrap();
/// let expanded = Estimate::new(6.62, 0.05, f64::INFINITY).unwrap().expanded(0.95).unwrap();
/// let rule = Acceptance::new(band, GuardBand::Expanded(1.0), &expanded).unwrap();
/// assert_eq!(rule.outcome(6.62), Outcome::ConditionalPass);
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Acceptance {
    tolerance: Limits,
    guard_band: f64,
    limits: Option<Limits>,
}

impl Acceptance {
    /// The acceptance limits of a rule.
    ///
    /// # Errors
    /// As [`GuardBand::width`].
    pub fn new(tolerance: Limits, rule: GuardBand, expanded: &Expanded) -> Result<Self> {
        Ok(Self::at_distance(tolerance, rule.width(&tolerance, expanded)?))
    }

    /// The acceptance limits at a guard band already known.
    #[must_use]
    pub fn at_distance(tolerance: Limits, guard_band: f64) -> Self {
        Self { tolerance, guard_band, limits: tolerance.narrowed(guard_band) }
    }

    /// The tolerance limits.
    #[must_use]
    pub fn tolerance(&self) -> Limits {
        self.tolerance
    }

    /// The guard band w.
    #[must_use]
    pub fn guard_band(&self) -> f64 {
        self.guard_band
    }

    /// The acceptance limits; `None` when the guard bands meet, so that nothing can be accepted, not
    /// even a value in the middle.
    #[must_use]
    pub fn limits(&self) -> Option<Limits> {
        self.limits
    }

    /// What is stated about a measured value.
    #[must_use]
    pub fn outcome(&self, measured: f64) -> Outcome {
        if self.limits.is_some_and(|limits| limits.contain(measured)) {
            Outcome::Pass
        } else if self.tolerance.contain(measured) {
            Outcome::ConditionalPass
        } else if self
            .tolerance
            .narrowed(-self.guard_band.abs())
            .is_some_and(|wide| wide.contain(measured))
        {
            Outcome::ConditionalFail
        } else {
            Outcome::Fail
        }
    }
}

use crate::uncertainty::{Expanded, Interval};

/// The current a displayed value really means.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ShownCurrent {
    /// The number on the display.
    pub shown_a: f64,
    /// The true RMS current, best estimate.
    pub true_a: f64,
    /// Its standard uncertainty.
    pub standard_uncertainty_a: f64,
    /// Its expanded uncertainty, at the probability asked for.
    pub expanded: Expanded,
    /// Probability that it lies in the step's band.
    pub conformance_probability: f64,
}

impl ShownCurrent {
    /// Where the true current lies.
    #[must_use]
    pub fn interval(&self) -> Interval {
        Interval {
            low: self.true_a - self.expanded.half_width,
            high: self.true_a + self.expanded.half_width,
            coverage_probability: self.expanded.coverage_probability,
        }
    }
}

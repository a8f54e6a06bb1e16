use crate::error::Result;

use super::{Budget, Expanded, Interval, MonteCarloRun, Tolerance};

/// Whether the law of propagation and trials agree on a coverage interval.
///
/// # Formula
/// d_low = |y − U − y_low|, d_high = |y + U − y_high|; the law is validated when both are at most δ.
///
/// # Source
/// JCGM 101:2008, 8.1 to 8.3.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Validation {
    /// The expanded uncertainty by the law of propagation.
    pub expanded: Expanded,
    /// The symmetric coverage interval of the trials.
    pub interval: Interval,
    /// Distance of the lower ends.
    pub low_difference: f64,
    /// Distance of the upper ends.
    pub high_difference: f64,
    /// δ, from the combined uncertainty and the digits that matter.
    pub tolerance: f64,
}

impl Validation {
    /// Compares a budget with a run of the same inputs.
    ///
    /// # Errors
    /// `OutOfRange` for a coverage probability or a number of digits out of bounds.
    pub fn new(
        budget: &Budget,
        run: &MonteCarloRun,
        coverage_probability: f64,
        significant_digits: u32,
    ) -> Result<Self> {
        let expanded = budget.expanded(coverage_probability)?;
        let interval = run.sampled.symmetric_interval(coverage_probability)?;
        let estimate = budget.estimate();
        let tolerance = Tolerance::of(estimate.standard_uncertainty, significant_digits)?;
        Ok(Self {
            expanded,
            interval,
            low_difference: (estimate.value - expanded.half_width - interval.low).abs(),
            high_difference: (estimate.value + expanded.half_width - interval.high).abs(),
            tolerance: tolerance.half_width,
        })
    }

    /// Whether both ends agree.
    #[must_use]
    pub fn holds(&self) -> bool {
        self.low_difference.max(self.high_difference) <= self.tolerance
    }
}

use crate::error::{Bounds, Result};

use super::CoverageBasis;

/// An *expanded* uncertainty U with the coverage factor and probability that belong to it.
///
/// The standard uncertainty is in [`Estimate`](super::Estimate) and comes back only through
/// [`Expanded::standard_uncertainty`]: u and U cannot be exchanged.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Expanded {
    /// U, in the unit of the value it belongs to.
    pub half_width: f64,
    /// k = U/u.
    pub coverage_factor: f64,
    /// Probability that the interval value ± U covers the true value.
    pub coverage_probability: f64,
    /// What k was taken from.
    pub basis: CoverageBasis,
}

impl Expanded {
    /// Coverage factor of anything.
    pub const COVERAGE_FACTOR: Bounds = Bounds::new("coverage factor", "", 0.1, 100.0);

    pub(super) fn new(
        standard_uncertainty: f64,
        coverage_factor: f64,
        coverage_probability: f64,
        basis: CoverageBasis,
    ) -> Self {
        Self {
            half_width: coverage_factor * standard_uncertainty,
            coverage_factor,
            coverage_probability,
            basis,
        }
    }

    /// An expanded uncertainty as a certificate or data sheet states it.
    ///
    /// # Errors
    /// `OutOfRange` for a negative half-width or a factor or probability out of bounds.
    pub fn stated(
        half_width: f64,
        coverage_factor: f64,
        coverage_probability: f64,
    ) -> Result<Self> {
        Bounds::new("expanded uncertainty", "", 0.0, f64::MAX).check(half_width)?;
        Self::COVERAGE_FACTOR.check(coverage_factor)?;
        super::coverage::PROBABILITY.check(coverage_probability)?;
        let basis = CoverageBasis::Stated;
        Ok(Self { half_width, coverage_factor, coverage_probability, basis })
    }

    /// u = U/k.
    #[must_use]
    pub fn standard_uncertainty(&self) -> f64 {
        self.half_width / self.coverage_factor
    }
}

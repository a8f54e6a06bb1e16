use crate::error::{Bounds, Error, Result};

use super::{CoverageBasis, Distribution, Expanded, coverage};

/// A value with its *standard* uncertainty and how well that uncertainty itself is known.
///
/// The expanded uncertainty is another type, [`Expanded`]: u and U cannot be exchanged.
///
/// # Example
/// ```
/// use loopcrest::uncertainty::Estimate;
/// let reading_a = Estimate::from_readings(&[6.58, 6.60, 6.62]).unwrap();
/// assert!((reading_a.value - 6.60).abs() < 1e-12);
/// assert!((reading_a.standard_uncertainty - 0.02 / 3.0_f64.sqrt()).abs() < 1e-12);
/// assert_eq!(reading_a.degrees_of_freedom, 2.0);
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// The best value.
    pub value: f64,
    /// Standard uncertainty u, in the unit of the value.
    pub standard_uncertainty: f64,
    /// Degrees of freedom ν of that uncertainty; infinite when it is taken as exactly known.
    pub degrees_of_freedom: f64,
}

impl Estimate {
    /// Standard uncertainty of anything.
    pub const STANDARD_UNCERTAINTY: Bounds = Bounds::new("standard uncertainty", "", 0.0, f64::MAX);
    /// Degrees of freedom of anything.
    pub const DEGREES_OF_FREEDOM: Bounds =
        Bounds::new("degrees of freedom", "", 1.0, f64::INFINITY);
    /// Relative standard uncertainty of a standard uncertainty.
    pub const UNRELIABILITY: Bounds =
        Bounds::new("relative uncertainty of an uncertainty", "", 1e-6, 0.7);

    /// An estimate whose uncertainty has the given degrees of freedom.
    ///
    /// # Errors
    /// `OutOfRange` for a negative uncertainty, fewer than one degree of freedom, or a value that is
    /// not a number.
    pub fn new(value: f64, standard_uncertainty: f64, degrees_of_freedom: f64) -> Result<Self> {
        Bounds::new("value of an estimate", "", f64::MIN, f64::MAX).check(value)?;
        Self::STANDARD_UNCERTAINTY.check(standard_uncertainty)?;
        Self::DEGREES_OF_FREEDOM.check(degrees_of_freedom)?;
        Ok(Self { value, standard_uncertainty, degrees_of_freedom })
    }

    /// Type A: the mean of independent readings.
    ///
    /// # Formula
    /// u = s/√n with s² = Σ(xᵢ − x̄)²/(n − 1); ν = n − 1
    ///
    /// # Errors
    /// `Inconsistent` for fewer than two readings; `OutOfRange` for one that is not a number.
    ///
    /// # Source
    /// JCGM 100:2008, 4.2.
    pub fn from_readings(readings: &[f64]) -> Result<Self> {
        let n = readings.len();
        if n < 2 {
            return Err(Error::inconsistent(format!("a scatter cannot be seen in {n} reading(s)"))
                .with_hint("repeat the reading, or state its uncertainty as type B"));
        }
        let mean = readings.iter().sum::<f64>() / n as f64;
        let squares: f64 = readings.iter().map(|reading| (reading - mean).powi(2)).sum();
        let freedom = (n - 1) as f64;
        Self::new(mean, (squares / freedom / n as f64).sqrt(), freedom)
    }

    /// Type B: what a distribution says, its spread taken as exactly known.
    ///
    /// # Errors
    /// As [`Distribution::check`]; `Inconsistent` for a distribution without a variance.
    pub fn from_distribution(distribution: &Distribution) -> Result<Self> {
        let checked = distribution.check()?;
        let standard_uncertainty = checked.standard_uncertainty().ok_or_else(|| {
            Error::inconsistent("a distribution without a variance has no standard uncertainty")
                .with_hint("Student's t needs more than two degrees of freedom for that")
        })?;
        Self::new(checked.mean(), standard_uncertainty, f64::INFINITY)
    }

    /// Degrees of freedom of an uncertainty that is itself known only so well.
    ///
    /// # Formula
    /// ν = ½ (Δu/u)⁻²: 10 % gives 50, 50 % gives 2
    ///
    /// # Errors
    /// `OutOfRange` for a ratio out of [`Self::UNRELIABILITY`].
    ///
    /// # Source
    /// JCGM 100:2008, G.4.2, equation G.3.
    pub fn degrees_of_freedom_at(unreliability_ratio: f64) -> Result<f64> {
        Ok(0.5 / Self::UNRELIABILITY.check(unreliability_ratio)?.powi(2))
    }

    /// The expanded uncertainty at a coverage probability, by Student's distribution.
    ///
    /// # Errors
    /// `OutOfRange` for a coverage probability out of bounds.
    pub fn expanded(&self, coverage_probability: f64) -> Result<Expanded> {
        let factor = coverage::student(self.degrees_of_freedom, coverage_probability)?;
        let basis = if self.degrees_of_freedom.is_finite() {
            CoverageBasis::Student
        } else {
            CoverageBasis::Normal
        };
        Ok(Expanded::new(self.standard_uncertainty, factor, coverage_probability, basis))
    }
}

use crate::error::{Bounds, Result};

use super::{Distribution, Estimate, Evaluation, Expanded};

/// One input quantity of a measurement: estimate for the GUM, distribution for Monte Carlo.
///
/// The two agree on the value. Their spreads agree too, except for type A, where the GUM takes
/// s/√n with its degrees of freedom and Monte Carlo draws from the wider Student distribution.
#[derive(Clone, Debug, PartialEq)]
pub struct Input {
    /// What it is, in words.
    pub name: String,
    /// Its unit; empty for a ratio.
    pub unit: String,
    /// Value, standard uncertainty, degrees of freedom.
    pub estimate: Estimate,
    /// What is known about the value, as a density.
    pub distribution: Distribution,
    /// Type A or B.
    pub evaluation: Evaluation,
}

impl Input {
    /// Half-width of a type B rectangle.
    pub const HALF_WIDTH: Bounds = Bounds::new("half-width", "", 0.0, 1e300);

    /// Type A: the mean of repeated readings.
    ///
    /// # Errors
    /// As [`Estimate::from_readings`].
    ///
    /// # Source
    /// JCGM 101:2008, 6.4.9.2: a scaled and shifted t distribution.
    pub fn from_readings(
        name: impl Into<String>,
        unit: impl Into<String>,
        readings: &[f64],
    ) -> Result<Self> {
        let estimate = Estimate::from_readings(readings)?;
        Self::student(name, unit, estimate, Evaluation::TypeA)
    }

    /// An estimate with its degrees of freedom, from someone else's evaluation.
    ///
    /// # Errors
    /// As [`Estimate::new`].
    pub fn from_estimate(
        name: impl Into<String>,
        unit: impl Into<String>,
        estimate: Estimate,
        evaluation: Evaluation,
    ) -> Result<Self> {
        let checked = Estimate::new(
            estimate.value,
            estimate.standard_uncertainty,
            estimate.degrees_of_freedom,
        )?;
        Self::student(name, unit, checked, evaluation)
    }

    /// Type B: what a distribution says.
    ///
    /// # Errors
    /// As [`Estimate::from_distribution`], with the input named.
    pub fn from_distribution(
        name: impl Into<String>,
        unit: impl Into<String>,
        distribution: Distribution,
    ) -> Result<Self> {
        let name = name.into();
        let estimate = Estimate::from_distribution(&distribution)
            .map_err(|error| error.with_context(name.clone()))?;
        let unit = unit.into();
        Ok(Self { name, unit, estimate, distribution, evaluation: Evaluation::TypeB })
    }

    /// Type B: ± a half-width, every value inside as likely as any other.
    ///
    /// # Errors
    /// `OutOfRange` for a negative half-width.
    pub fn rectangular(
        name: impl Into<String>,
        unit: impl Into<String>,
        value: f64,
        half_width: f64,
    ) -> Result<Self> {
        let half_width = Self::HALF_WIDTH.check(half_width)?;
        let (low, high) = (value - half_width, value + half_width);
        // So narrow that its ends are one number: nothing is left to distribute.
        let distribution = if low < high {
            Distribution::Rectangular { low, high }
        } else {
            Distribution::Exactly(value)
        };
        Self::from_distribution(name, unit, distribution)
    }

    /// Type B: a value with the expanded uncertainty of its certificate.
    ///
    /// # Errors
    /// As [`Estimate::new`].
    pub fn certified(
        name: impl Into<String>,
        unit: impl Into<String>,
        value: f64,
        expanded: &Expanded,
    ) -> Result<Self> {
        let estimate = Estimate::new(value, expanded.standard_uncertainty(), f64::INFINITY)?;
        Self::student(name, unit, estimate, Evaluation::TypeB)
    }

    /// The same input with its uncertainty known only so well.
    ///
    /// # Errors
    /// `OutOfRange` for fewer than one degree of freedom.
    pub fn with_degrees_of_freedom(mut self, degrees_of_freedom: f64) -> Result<Self> {
        self.estimate.degrees_of_freedom =
            Estimate::DEGREES_OF_FREEDOM.check(degrees_of_freedom)?;
        Ok(self)
    }

    fn student(
        name: impl Into<String>,
        unit: impl Into<String>,
        estimate: Estimate,
        evaluation: Evaluation,
    ) -> Result<Self> {
        let Estimate { value, standard_uncertainty, degrees_of_freedom } = estimate;
        let distribution = if standard_uncertainty <= 0.0 {
            Distribution::Exactly(value)
        } else if degrees_of_freedom.is_finite() {
            let scale = standard_uncertainty;
            Distribution::StudentT { mean: value, scale, degrees_of_freedom }
        } else {
            Distribution::Normal { mean: value, standard_uncertainty }
        };
        let (name, unit) = (name.into(), unit.into());
        Ok(Self { name, unit, estimate, distribution: distribution.check()?, evaluation })
    }
}

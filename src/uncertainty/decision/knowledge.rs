use super::Limits;
use crate::uncertainty::{Budget, Distribution, Estimate, Sampled, Shape};

/// What is known about a quantity after measuring it: where its true value may lie.
#[derive(Clone, Debug, PartialEq)]
pub enum Knowledge {
    /// A law of probability.
    Distribution(Distribution),
    /// A value with the shape that its largest contributions give its distribution.
    Shaped {
        /// The value.
        value: f64,
        /// The shape about it.
        shape: Shape,
    },
    /// The trials of a Monte Carlo run.
    Sampled(Sampled),
}

impl Knowledge {
    /// From an estimate: normal, or Student's t when its degrees of freedom are finite.
    #[must_use]
    pub fn from_estimate(estimate: &Estimate) -> Self {
        let Estimate { value: mean, standard_uncertainty, degrees_of_freedom } = *estimate;
        Self::Distribution(if standard_uncertainty <= 0.0 {
            Distribution::Exactly(mean)
        } else if degrees_of_freedom.is_finite() {
            Distribution::StudentT { mean, scale: standard_uncertainty, degrees_of_freedom }
        } else {
            Distribution::Normal { mean, standard_uncertainty }
        })
    }

    /// From a budget, with the shape its largest contributions give the result.
    #[must_use]
    pub fn from_budget(budget: &Budget) -> Self {
        Self::Shaped { value: budget.estimate().value, shape: budget.shape() }
    }

    /// Probability that the true value is at most `x`.
    #[must_use]
    pub fn cdf(&self, x: f64) -> f64 {
        match self {
            Self::Distribution(distribution) => distribution.cdf(x),
            Self::Shaped { value, shape } => shape.cdf(x - value),
            Self::Sampled(sampled) => sampled.cdf(x),
        }
    }

    /// Probability that the true value lies inside limits.
    ///
    /// # Formula
    /// p_c = G(upper) − G(lower), G the distribution of the true value
    ///
    /// # Source
    /// JCGM 106:2012, 7.2 to 7.4.
    #[must_use]
    pub fn conformance_probability(&self, limits: &Limits) -> f64 {
        let below_upper = limits.upper().map_or(1.0, |upper| self.cdf(upper));
        let below_lower = limits.lower().map_or(0.0, |lower| match self {
            // A limit belongs to the inside: an exactly known value on it conforms.
            Self::Distribution(Distribution::Exactly(value)) => f64::from(*value < lower),
            other => other.cdf(lower),
        });
        (below_upper - below_lower).clamp(0.0, 1.0)
    }
}

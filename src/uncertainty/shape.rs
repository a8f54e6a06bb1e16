use statrs::distribution::{ContinuousCDF, StudentsT};

use crate::error::Result;

use super::{CoverageBasis, Distribution, Part, coverage};

/// The shape that the largest of many independent parts give their sum, about a mean of zero.
///
/// | parts | shape |
/// |---|---|
/// | two largest rectangular, the rest at most 0.3 of them | trapezoid |
/// | the largest rectangular and at least as large as all the rest | rectangle with a normal rest |
/// | otherwise | normal, or Student's t |
///
/// The first two need at least [`Self::MANY_DEGREES_OF_FREEDOM`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Shape {
    /// Many parts, all spreads well known.
    Normal {
        /// Standard uncertainty.
        standard_uncertainty: f64,
    },
    /// Many parts, the spread itself estimated.
    Student {
        /// Standard uncertainty: the scale of the distribution.
        standard_uncertainty: f64,
        /// Effective degrees of freedom.
        degrees_of_freedom: f64,
    },
    /// Two rectangular parts, widened to hold the rest.
    Trapezoidal {
        /// Standard uncertainty.
        standard_uncertainty: f64,
        /// Half-width of the larger rectangle.
        larger: f64,
        /// Half-width of the smaller rectangle.
        smaller: f64,
    },
    /// One rectangular part with a normal rest.
    RectangularWithNormal {
        /// Half-width of the rectangle.
        half_width: f64,
        /// Standard uncertainty of the rest.
        rest: f64,
    },
}

impl Shape {
    /// Degrees of freedom from which on the scatter of the normal rest is left out of the choice. Our
    /// own choice: t at 30 exceeds the normal factor by 4 % at 95 %.
    pub const MANY_DEGREES_OF_FREEDOM: f64 = 30.0;

    /// The shape of the sum of independent parts.
    #[must_use]
    pub fn of_sum(parts: &[Part], degrees_of_freedom: f64) -> Self {
        let square = |part: &Part| part.size * part.size;
        let total: f64 = parts.iter().map(square).sum();
        // The two largest, the larger first.
        let mut largest = [None::<&Part>; 2];
        for part in parts {
            if largest[0].is_none_or(|first| part.size > first.size) {
                largest = [Some(part), largest[0]];
            } else if largest[1].is_none_or(|second| part.size > second.size) {
                largest[1] = Some(part);
            }
        }
        if let (Some(first), many) =
            (largest[0], degrees_of_freedom >= Self::MANY_DEGREES_OF_FREEDOM)
            && many
            && first.is_rectangular
            && first.size > 0.0
        {
            let rest = (total - square(first)).max(0.0);
            if let Some(second) = largest[1].filter(|part| part.is_rectangular && part.size > 0.0) {
                let both = square(first) + square(second);
                if (total - both).max(0.0) <= coverage::DOMINANCE_RATIO.powi(2) * both {
                    return Self::Trapezoidal {
                        standard_uncertainty: total.sqrt(),
                        larger: first.size * 3.0_f64.sqrt(),
                        smaller: second.size * 3.0_f64.sqrt(),
                    };
                }
            }
            if rest <= square(first) {
                let half_width = first.size * 3.0_f64.sqrt();
                return Self::RectangularWithNormal { half_width, rest: rest.sqrt() };
            }
        }
        Self::bell(total.sqrt(), degrees_of_freedom)
    }

    /// Normal, or Student's t where the degrees of freedom are finite.
    #[must_use]
    pub fn bell(standard_uncertainty: f64, degrees_of_freedom: f64) -> Self {
        if degrees_of_freedom.is_finite() {
            let degrees_of_freedom = degrees_of_freedom.max(1.0);
            Self::Student { standard_uncertainty, degrees_of_freedom }
        } else {
            Self::Normal { standard_uncertainty }
        }
    }

    /// The standard uncertainty.
    #[must_use]
    pub fn standard_uncertainty(&self) -> f64 {
        match *self {
            Self::Normal { standard_uncertainty }
            | Self::Student { standard_uncertainty, .. }
            | Self::Trapezoidal { standard_uncertainty, .. } => standard_uncertainty,
            Self::RectangularWithNormal { half_width, rest } => {
                (half_width * half_width / 3.0 + rest * rest).sqrt()
            }
        }
    }

    /// What a coverage factor of this shape is taken from.
    #[must_use]
    pub fn basis(&self) -> CoverageBasis {
        match self {
            Self::Normal { .. } => CoverageBasis::Normal,
            Self::Student { .. } => CoverageBasis::Student,
            Self::Trapezoidal { .. } => CoverageBasis::Trapezoidal,
            Self::RectangularWithNormal { .. } => CoverageBasis::RectangularWithNormal,
        }
    }

    /// The coverage factor.
    ///
    /// # Errors
    /// `OutOfRange` for a coverage probability out of bounds.
    pub fn coverage_factor(&self, probability: f64) -> Result<f64> {
        match *self {
            Self::Normal { .. } => coverage::student(f64::INFINITY, probability),
            Self::Student { degrees_of_freedom, .. } => {
                coverage::student(degrees_of_freedom, probability)
            }
            Self::Trapezoidal { larger, smaller, .. } => {
                coverage::trapezoidal(larger, smaller, probability)
            }
            Self::RectangularWithNormal { half_width, rest } => {
                coverage::rectangular_with_normal(half_width, rest, probability)
            }
        }
    }

    /// Probability that the deviation from the mean is at most `deviation`.
    #[must_use]
    pub fn cdf(&self, deviation: f64) -> f64 {
        match *self {
            Self::Normal { standard_uncertainty: u }
            | Self::Student { standard_uncertainty: u, .. }
                if u <= 0.0 =>
            {
                f64::from(deviation >= 0.0)
            }
            Self::Normal { standard_uncertainty } => {
                coverage::normal_cdf(deviation / standard_uncertainty)
            }
            Self::Student { standard_uncertainty, degrees_of_freedom } => {
                StudentsT::new(0.0, standard_uncertainty, degrees_of_freedom)
                    .map_or(f64::NAN, |law| law.cdf(deviation))
            }
            Self::Trapezoidal { standard_uncertainty, larger, smaller } => {
                let top_ratio = (larger - smaller) / (larger + smaller);
                let reach = standard_uncertainty * (6.0 / (1.0 + top_ratio * top_ratio)).sqrt();
                Distribution::Trapezoidal { low: -reach, high: reach, top_ratio }.cdf(deviation)
            }
            Self::RectangularWithNormal { half_width, rest } => {
                coverage::rectangle_with_normal_cdf(half_width, rest, deviation)
            }
        }
    }
}

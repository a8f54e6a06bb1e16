use std::f64::consts::{FRAC_1_SQRT_2, PI, SQRT_2, TAU};

use statrs::distribution::{
    Continuous, ContinuousCDF, Gamma, LogNormal, Normal, StudentsT, Triangular, Uniform,
};
use statrs::function::erf::erfc_inv;
use statrs::statistics::Distribution as Moments;

use crate::error::{Bounds, Error, Result};

use super::Stream;

/// What is known of a quantity: the probability of its values, in the quantity's own unit.
///
/// Values made by hand are checked with [`Self::check`]; an unchecked impossible one answers NaN,
/// never with a panic.
///
/// # Formula
/// | law | standard uncertainty |
/// |---|---|
/// | normal | u |
/// | rectangular on \[a, b\] | (b − a)/√12 |
/// | triangular on \[a, b\], symmetric | (b − a)/√24 |
/// | trapezoidal, top over base β | (b − a) √(1 + β²)/√24 |
/// | arc sine on \[a, b\] | (b − a)/√8 |
/// | Student t, scale s, ν degrees of freedom | s √(ν/(ν − 2)), none for ν ≤ 2 |
/// | gamma, shape k, rate r | √k/r |
/// | log-normal, ln x of mean m, deviation s | eᵐ⁺ˢ²ᐟ² √(eˢ² − 1) |
///
/// # Source
/// JCGM 101:2008, table 1 and clause 6.4, for the laws and where each is used.
///
/// # Example
/// ```
/// use loopcrest::uncertainty::Distribution;
/// let half_width_1 = Distribution::Rectangular { low: -1.0, high: 1.0 };
/// assert!((half_width_1.standard_uncertainty().unwrap() - 1.0 / 3_f64.sqrt()).abs() < 1e-15);
/// assert_eq!(half_width_1.quantile(0.25), -0.5);
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Distribution {
    /// No doubt at all.
    Exactly(f64),
    /// Known by mean and standard uncertainty, or the sum of many small effects.
    Normal {
        /// Mean.
        mean: f64,
        /// Standard uncertainty.
        standard_uncertainty: f64,
    },
    /// Only limits are known.
    Rectangular {
        /// Lower limit.
        low: f64,
        /// Upper limit.
        high: f64,
    },
    /// The sum of two equal rectangular effects.
    Triangular {
        /// Lower limit.
        low: f64,
        /// Upper limit.
        high: f64,
    },
    /// The sum of two unequal rectangular effects.
    Trapezoidal {
        /// Lower limit.
        low: f64,
        /// Upper limit.
        high: f64,
        /// Width of the top over width of the base: 0 is triangular, 1 rectangular.
        top_ratio: f64,
    },
    /// Something that swings between two limits as a sine.
    ArcSine {
        /// Lower limit.
        low: f64,
        /// Upper limit.
        high: f64,
    },
    /// The mean of a few repeated readings.
    StudentT {
        /// Centre; the mean where there is one.
        mean: f64,
        /// Standard deviation of the mean, as the readings give it.
        scale: f64,
        /// Readings less one.
        degrees_of_freedom: f64,
    },
    /// A positive quantity of which only the mean is known, or a count of events.
    Gamma {
        /// Shape.
        shape: f64,
        /// Rate: one over the scale.
        rate: f64,
    },
    /// A positive quantity known by a factor.
    LogNormal {
        /// Mean of the natural logarithm.
        log_mean: f64,
        /// Standard deviation of the natural logarithm.
        log_deviation: f64,
    },
}

impl Distribution {
    /// Centres, limits and means of logarithms.
    pub const LOCATION: Bounds =
        Bounds::new("centre or limit of a distribution", "", -1e300, 1e300);
    /// Standard uncertainties, scales, shapes and rates.
    pub const SPREAD: Bounds = Bounds::new("spread of a distribution", "", 1e-300, 1e300);
    /// Degrees of freedom of Student's law.
    pub const DEGREES_OF_FREEDOM: Bounds = Bounds::new("degrees of freedom", "", 1.0, 1e12);
    /// Width of the top of a trapezoid over that of its base.
    pub const TOP_RATIO: Bounds = Bounds::new("top over base of a trapezoid", "", 0.0, 1.0);

    /// The same law, when its values make one.
    ///
    /// # Errors
    /// `OutOfRange` for a value out of bounds; `Inconsistent` for limits in the wrong order.
    pub fn check(self) -> Result<Self> {
        match self {
            Self::Exactly(value) => Self::LOCATION.check(value).map(|_| ())?,
            Self::Normal { mean, standard_uncertainty } => {
                Self::LOCATION.check(mean)?;
                Self::SPREAD.check(standard_uncertainty)?;
            }
            Self::Rectangular { low, high }
            | Self::Triangular { low, high }
            | Self::ArcSine { low, high } => limits(low, high)?,
            Self::Trapezoidal { low, high, top_ratio } => {
                limits(low, high)?;
                Self::TOP_RATIO.check(top_ratio)?;
            }
            Self::StudentT { mean, scale, degrees_of_freedom } => {
                Self::LOCATION.check(mean)?;
                Self::SPREAD.check(scale)?;
                Self::DEGREES_OF_FREEDOM.check(degrees_of_freedom)?;
            }
            Self::Gamma { shape, rate } => {
                Self::SPREAD.check(shape)?;
                Self::SPREAD.check(rate)?;
            }
            Self::LogNormal { log_mean, log_deviation } => {
                Self::LOCATION.check(log_mean)?;
                Self::SPREAD.check(log_deviation)?;
            }
        }
        Ok(self)
    }

    /// A short name, as in description files.
    #[must_use]
    pub fn key(&self) -> &'static str {
        match self {
            Self::Exactly(_) => "exactly",
            Self::Normal { .. } => "normal",
            Self::Rectangular { .. } => "rectangular",
            Self::Triangular { .. } => "triangular",
            Self::Trapezoidal { .. } => "trapezoidal",
            Self::ArcSine { .. } => "arc-sine",
            Self::StudentT { .. } => "student-t",
            Self::Gamma { .. } => "gamma",
            Self::LogNormal { .. } => "log-normal",
        }
    }

    /// Mean; for Student's law of one degree of freedom, which has none, its centre.
    #[must_use]
    pub fn mean(&self) -> f64 {
        match *self {
            Self::Exactly(value) => value,
            Self::Normal { mean, .. } | Self::StudentT { mean, .. } => mean,
            Self::Rectangular { low, high }
            | Self::Triangular { low, high }
            | Self::Trapezoidal { low, high, .. }
            | Self::ArcSine { low, high } => 0.5 * low + 0.5 * high,
            Self::Gamma { shape, rate } => shape / rate,
            Self::LogNormal { log_mean, log_deviation } => {
                (log_mean + 0.5 * log_deviation * log_deviation).exp()
            }
        }
    }

    /// Standard deviation; `None` for Student's law of two degrees of freedom or fewer.
    #[must_use]
    pub fn standard_uncertainty(&self) -> Option<f64> {
        Some(match *self {
            Self::Exactly(_) => 0.0,
            Self::Normal { standard_uncertainty, .. } => standard_uncertainty,
            Self::Rectangular { low, high } => (high - low) / 12_f64.sqrt(),
            Self::Triangular { low, high } => (high - low) / 24_f64.sqrt(),
            Self::Trapezoidal { low, high, top_ratio } => {
                (high - low) * ((1.0 + top_ratio * top_ratio) / 24.0).sqrt()
            }
            Self::ArcSine { low, high } => (high - low) / 8_f64.sqrt(),
            Self::StudentT { scale, degrees_of_freedom: nu, .. } => {
                if nu <= 2.0 {
                    return None;
                }
                scale * (nu / (nu - 2.0)).sqrt()
            }
            Self::Gamma { shape, rate } => shape.sqrt() / rate,
            Self::LogNormal { log_mean, log_deviation } => {
                LogNormal::new(log_mean, log_deviation).ok()?.std_dev()?
            }
        })
    }

    /// The value below which a share `p` of the probability lies; NaN for a `p` outside \[0, 1\].
    #[must_use]
    pub fn quantile(&self, p: f64) -> f64 {
        if !(0.0..=1.0).contains(&p) {
            return f64::NAN;
        }
        match *self {
            Self::Exactly(value) => value,
            Self::Normal { mean, standard_uncertainty } => {
                mean - standard_uncertainty * SQRT_2 * erfc_inv(2.0 * p)
            }
            Self::Rectangular { low, high } => low + (high - low) * p,
            Self::Triangular { low, high } => {
                triangular(low, high).map_or(f64::NAN, |law| law.inverse_cdf(p))
            }
            Self::Trapezoidal { low, high, top_ratio } => trapezoid(low, high, top_ratio, p),
            Self::ArcSine { low, high } => 0.5 * (low + high) - 0.5 * (high - low) * (PI * p).cos(),
            Self::StudentT { mean, scale, degrees_of_freedom } => {
                student(mean, scale, degrees_of_freedom).map_or(f64::NAN, |law| law.inverse_cdf(p))
            }
            Self::Gamma { shape, rate } => {
                gamma(shape, rate).map_or(f64::NAN, |law| law.inverse_cdf(p))
            }
            Self::LogNormal { log_mean, log_deviation } => {
                (log_mean - log_deviation * SQRT_2 * erfc_inv(2.0 * p)).exp()
            }
        }
    }

    /// Probability of a value up to `x`.
    #[must_use]
    pub fn cdf(&self, x: f64) -> f64 {
        match *self {
            Self::Exactly(value) => f64::from(x >= value),
            Self::Normal { mean, standard_uncertainty } => {
                Normal::new(mean, standard_uncertainty).map_or(f64::NAN, |law| law.cdf(x))
            }
            Self::Rectangular { low, high } => {
                Uniform::new(low, high).map_or(f64::NAN, |law| law.cdf(x))
            }
            Self::Triangular { low, high } => triangular(low, high).map_or(f64::NAN, |l| l.cdf(x)),
            Self::Trapezoidal { low, high, top_ratio } => {
                // Each flank is a triangle: its area grows with the square of the way along it.
                let t = ((x - low) / (high - low)).clamp(0.0, 1.0);
                let flank = 0.5 * (1.0 - top_ratio);
                let top = 2.0 / (1.0 + top_ratio);
                if t < flank {
                    0.5 * top * t * t / flank
                } else if t <= 1.0 - flank {
                    top * (t - 0.5 * flank)
                } else {
                    1.0 - 0.5 * top * (1.0 - t) * (1.0 - t) / flank
                }
            }
            Self::ArcSine { low, high } => {
                let t = ((2.0 * x - low - high) / (high - low)).clamp(-1.0, 1.0);
                0.5 + t.asin() / PI
            }
            Self::StudentT { mean, scale, degrees_of_freedom } => {
                student(mean, scale, degrees_of_freedom).map_or(f64::NAN, |law| law.cdf(x))
            }
            Self::Gamma { shape, rate } => gamma(shape, rate).map_or(f64::NAN, |law| law.cdf(x)),
            Self::LogNormal { log_mean, log_deviation } => {
                LogNormal::new(log_mean, log_deviation).map_or(f64::NAN, |law| law.cdf(x))
            }
        }
    }

    /// Probability density at `x`, per unit of the quantity; `None` for an exact value, which has
    /// none.
    #[must_use]
    pub fn density(&self, x: f64) -> Option<f64> {
        Some(match *self {
            Self::Exactly(_) => return None,
            Self::Normal { mean, standard_uncertainty } => {
                Normal::new(mean, standard_uncertainty).ok()?.pdf(x)
            }
            Self::Rectangular { low, high } => Uniform::new(low, high).ok()?.pdf(x),
            Self::Triangular { low, high } => triangular(low, high)?.pdf(x),
            Self::Trapezoidal { low, high, top_ratio } => {
                let t = (x - low) / (high - low);
                let (flank, top) = (0.5 * (1.0 - top_ratio), 2.0 / (1.0 + top_ratio));
                let from_edge = t.min(1.0 - t);
                let share = if from_edge < 0.0 {
                    0.0
                } else if from_edge < flank {
                    from_edge / flank
                } else {
                    1.0
                };
                top * share / (high - low)
            }
            Self::ArcSine { low, high } => {
                let inside = (x - low) * (high - x);
                if inside > 0.0 { 1.0 / (PI * inside.sqrt()) } else { 0.0 }
            }
            Self::StudentT { mean, scale, degrees_of_freedom } => {
                student(mean, scale, degrees_of_freedom)?.pdf(x)
            }
            Self::Gamma { shape, rate } => gamma(shape, rate)?.pdf(x),
            Self::LogNormal { log_mean, log_deviation } => {
                LogNormal::new(log_mean, log_deviation).ok()?.pdf(x)
            }
        })
    }

    /// One value: that of a trial in a coordinate of a stream.
    ///
    /// The quantile of the stream's number, so that a small shift of the law shifts the value a
    /// little. For many values [`Self::draw`] is quicker.
    #[must_use]
    pub fn value(&self, stream: &Stream, trial: u64, coordinate: u32) -> f64 {
        self.quantile(stream.uniform(trial, coordinate))
    }

    /// The values of consecutive trials in a coordinate of a stream, from `first_trial` on.
    ///
    /// As [`Self::value`] for each, except for Student's law, whose quantile is slow: there it is
    ///
    /// # Formula
    /// t = √(ν (u^(−2/ν) − 1)) cos 2πv, with u, v both uniform
    ///
    /// # Source
    /// R. W. Bailey, Polar generation of random variates with the t-distribution, Mathematics of
    /// Computation 62 (1994) 779–781.
    pub fn draw(&self, stream: &Stream, coordinate: u32, first_trial: u64, out: &mut [f64]) {
        stream.uniforms(coordinate, first_trial, out);
        match *self {
            Self::Normal { mean, standard_uncertainty } => {
                for x in out {
                    *x = mean - standard_uncertainty * SQRT_2 * erfc_inv(2.0 * *x);
                }
            }
            Self::StudentT { mean, scale, degrees_of_freedom: nu } => {
                let mut turns = vec![0.0; out.len()];
                stream.companions(coordinate, first_trial, &mut turns);
                for (x, v) in out.iter_mut().zip(turns) {
                    let radius = (nu * (-2.0 / nu * x.ln()).exp_m1()).sqrt();
                    *x = mean + scale * radius * (TAU * v).cos();
                }
            }
            other => out.iter_mut().for_each(|x| *x = other.quantile(*x)),
        }
    }
}

fn limits(low: f64, high: f64) -> Result<()> {
    Distribution::LOCATION.check(low)?;
    Distribution::LOCATION.check(high)?;
    if low < high {
        return Ok(());
    }
    Err(Error::inconsistent(format!("the lower limit {low} is not below the upper one {high}")))
}

fn triangular(low: f64, high: f64) -> Option<Triangular> {
    Triangular::new(low, high, 0.5 * low + 0.5 * high).ok()
}

fn student(mean: f64, scale: f64, degrees_of_freedom: f64) -> Option<StudentsT> {
    StudentsT::new(mean, scale, degrees_of_freedom).ok()
}

fn gamma(shape: f64, rate: f64) -> Option<Gamma> {
    Gamma::new(shape, rate).ok().filter(|_| shape.is_finite() && rate.is_finite())
}

/// The quantile of a trapezoid: the square root along the flanks, straight along the top.
fn trapezoid(low: f64, high: f64, top_ratio: f64, p: f64) -> f64 {
    let (flank, top) = (0.5 * (1.0 - top_ratio), 2.0 / (1.0 + top_ratio));
    let tail = p.min(1.0 - p);
    let from_edge = if tail < 0.5 * top * flank {
        // √(2·tail·flank/top), in an order that keeps full digits in the corner.
        2.0 * FRAC_1_SQRT_2 * (tail * flank / top).sqrt()
    } else {
        tail / top + 0.5 * flank
    };
    if p <= 0.5 { low + (high - low) * from_edge } else { high - (high - low) * from_edge }
}

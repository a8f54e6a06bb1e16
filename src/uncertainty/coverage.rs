//! Coverage factors: how many standard uncertainties make an interval of given probability.

use statrs::distribution::{ContinuousCDF, Normal, StudentsT};
use statrs::function::erf;

use crate::error::{Bounds, Result};
use crate::numeric::root_between;

/// Coverage probability of an interval.
pub const PROBABILITY: Bounds = Bounds::new("coverage probability", "", 0.01, 0.999_999);

/// Factor for a normal distribution (infinite degrees of freedom) or Student's t.
///
/// # Formula
/// k = F⁻¹((1 + p)/2), F the distribution with ν degrees of freedom
///
/// # Validity
/// ν is taken as it is: [`Budget`](super::Budget::effective_degrees_of_freedom) truncates it to
/// a whole number before, as printed tables do.
///
/// # Errors
/// `OutOfRange` for fewer than one degree of freedom or a probability out of [`PROBABILITY`].
///
/// # Source
/// JCGM 100:2008, G.3.2 and table G.2.
pub fn student(degrees_of_freedom: f64, probability: f64) -> Result<f64> {
    PROBABILITY.check(probability)?;
    super::Estimate::DEGREES_OF_FREEDOM.check(degrees_of_freedom)?;
    let upper = 0.5 * (1.0 + probability);
    // From ten million on, t and normal agree to seven digits, and the series of t lose digits.
    if degrees_of_freedom > 1e7 {
        return Ok(Normal::standard().inverse_cdf(upper));
    }
    let t = StudentsT::new(0.0, 1.0, degrees_of_freedom)
        .expect("scale one and at least one degree of freedom");
    Ok(t.inverse_cdf(upper))
}

/// Factor for a single rectangular part.
///
/// # Formula
/// k = p √3: 1.65 at 95 %
///
/// # Validity
/// Everything else together at most [`DOMINANCE_RATIO`] of the rectangular part.
///
/// # Errors
/// `OutOfRange` for a probability out of [`PROBABILITY`].
///
/// # Source
/// EA-4/02, supplement S9 (from memory, not verified); the formula is closed form.
pub fn rectangular(probability: f64) -> Result<f64> {
    Ok(PROBABILITY.check(probability)? * 3.0_f64.sqrt())
}

/// Share of the dominant part below which the rest may be left out of the choice of k.
///
/// EA-4/02, supplement S9 (from memory, not verified).
pub const DOMINANCE_RATIO: f64 = 0.3;

/// Factor for the sum of two rectangular parts, which is a trapezoid.
///
/// # Formula
/// a = a₁ + a₂, β = |a₁ − a₂|/a, u² = a²(1 + β²)/6;
/// k = (1 − √((1 − p)(1 − β²)))/√((1 + β²)/6) where p/(2 − p) > β, else p (1 + β)/2 over the same root.
/// Half-widths a₁ = 0.05, a₂ = 0.011 at 95 %: 1.709.
///
/// # Errors
/// `OutOfRange` for a probability out of [`PROBABILITY`] or half-widths that are not positive.
///
/// # Source
/// Closed form: quantile of a symmetric trapezoidal density.
pub fn trapezoidal(half_width_1: f64, half_width_2: f64, probability: f64) -> Result<f64> {
    PROBABILITY.check(probability)?;
    let half_width = Bounds::new("half-width of a rectangle", "", f64::MIN_POSITIVE, f64::MAX);
    let sum = half_width.check(half_width_1)? + half_width.check(half_width_2)?;
    let beta = (half_width_1 - half_width_2).abs() / sum;
    let unit = ((1.0 + beta * beta) / 6.0).sqrt();
    let reached = if probability / (2.0 - probability) > beta {
        1.0 - ((1.0 - probability) * (1.0 - beta * beta)).sqrt()
    } else {
        0.5 * probability * (1.0 + beta)
    };
    Ok(reached / unit)
}

/// Factor for one rectangular part with a normal rest.
///
/// # Formula
/// 2 F(y) − 1 = p with F(y) = (σ/2a)[G((y + a)/σ) − G((y − a)/σ)], G(z) = z Φ(z) + φ(z), a the
/// half-width, σ the standard uncertainty of the rest; k = y/√(a²/3 + σ²).
///
/// # Errors
/// `OutOfRange` for a probability out of [`PROBABILITY`] or a half-width that is not positive.
///
/// # Source
/// Closed form: convolution of a rectangle with a normal density.
pub fn rectangular_with_normal(half_width: f64, rest: f64, probability: f64) -> Result<f64> {
    PROBABILITY.check(probability)?;
    let positive = Bounds::new("half-width of a rectangle", "", f64::MIN_POSITIVE, f64::MAX);
    let a = positive.check(half_width)?;
    super::Estimate::STANDARD_UNCERTAINTY.check(rest)?;
    let far = a + 10.0 * rest;
    let covered = |y: f64| 2.0 * rectangle_with_normal_cdf(a, rest, y) - 1.0;
    let y = root_between(|y| Ok(covered(y) - probability), 0.0, far, 1e-12 * far)?;
    Ok(y / (a * a / 3.0 + rest * rest).sqrt())
}

/// Distribution of a rectangle ± a with a normal rest of standard uncertainty σ.
///
/// # Formula
/// F(y) = (σ/2a)[G((y + a)/σ) − G((y − a)/σ)], G(z) = z Φ(z) + φ(z)
pub(super) fn rectangle_with_normal_cdf(half_width: f64, rest: f64, y: f64) -> f64 {
    // Below a millionth of the rectangle the rest moves nothing that matters, and the difference of
    // the two large terms would lose digits.
    let sigma = rest.max(1e-6 * half_width);
    let primitive = |z: f64| z * normal_cdf(z) + normal_density(z);
    let difference = primitive((y + half_width) / sigma) - primitive((y - half_width) / sigma);
    (0.5 * sigma / half_width * difference).clamp(0.0, 1.0)
}

/// Φ(z).
pub(super) fn normal_cdf(z: f64) -> f64 {
    0.5 * erf::erfc(-z * std::f64::consts::FRAC_1_SQRT_2)
}

fn normal_density(z: f64) -> f64 {
    (-0.5 * z * z).exp() / (2.0 * std::f64::consts::PI).sqrt()
}

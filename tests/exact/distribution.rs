//! Laws of probability against their closed forms.

use loopcrest::error::ErrorKind;
use loopcrest::uncertainty::{Distribution, Stream};

use crate::support::{assert_absolute, assert_relative};

fn every_law() -> Vec<Distribution> {
    vec![
        Distribution::Normal { mean: 2.0, standard_uncertainty: 0.5 },
        Distribution::Rectangular { low: -1.0, high: 3.0 },
        Distribution::Triangular { low: -1.0, high: 3.0 },
        Distribution::Trapezoidal { low: -1.0, high: 3.0, top_ratio: 0.4 },
        Distribution::ArcSine { low: -1.0, high: 3.0 },
        Distribution::StudentT { mean: 1.0, scale: 0.3, degrees_of_freedom: 8.0 },
        Distribution::Gamma { shape: 2.5, rate: 1.5 },
        Distribution::LogNormal { log_mean: 0.2, log_deviation: 0.4 },
    ]
}

/// Mean and variance are the integrals of x and (x − mean)² over the probability, p = F(x): by the
/// rectangle rule in p with 400,000 points.
#[test]
fn exact_moments_are_those_of_the_quantiles() {
    const N: usize = 400_000;
    for law in every_law() {
        let points = || (0..N).map(|k| law.quantile((k as f64 + 0.5) / N as f64));
        let mean = points().sum::<f64>() / N as f64;
        let variance = points().map(|x| (x - law.mean()).powi(2)).sum::<f64>() / N as f64;
        let reason = "the rule leaves out part of the tails beyond 1/800,000";
        assert_absolute(mean, law.mean(), 1e-5, reason);
        assert_relative(variance.sqrt(), law.standard_uncertainty().unwrap(), 2e-4, reason);
    }
}

/// The density is the slope of F, and the quantile its inverse.
#[test]
fn exact_density_and_quantile_belong_to_the_distribution_function() {
    for law in every_law() {
        for p in [0.03, 0.1, 0.27, 0.5, 0.8, 0.97] {
            let x = law.quantile(p);
            assert_absolute(law.cdf(x), p, 1e-9, "the series of the library's functions");
            let h = 1e-5;
            let slope = (law.cdf(x + h) - law.cdf(x - h)) / (2.0 * h);
            let reason = "central difference: h² times the third derivative, and rounding over h";
            assert_relative(law.density(x).unwrap(), slope, 1e-5, reason);
        }
    }
}

/// z(97.5 %) and t(97.5 %, 8) from the printed tables of the functions; the median of arc sine on
/// [-1, 1] is 0 and its quartile −cos(π/4).
#[test]
fn exact_known_quantiles() {
    let normal = Distribution::Normal { mean: 0.0, standard_uncertainty: 1.0 };
    assert_absolute(normal.quantile(0.975), 1.959_963_984_540_054, 1e-12, "double precision");
    let student = Distribution::StudentT { mean: 0.0, scale: 1.0, degrees_of_freedom: 8.0 };
    assert_absolute(student.quantile(0.975), 2.306_004_135_204, 1e-10, "twelve digits printed");
    let swing = Distribution::ArcSine { low: -1.0, high: 1.0 };
    assert_absolute(swing.quantile(0.25), -std::f64::consts::FRAC_1_SQRT_2, 1e-15, "rounding");
    // A trapezoid with no top is a triangle, with no flanks a rectangle.
    for p in [0.01, 0.3, 0.77] {
        let trapezoid =
            |top_ratio| Distribution::Trapezoidal { low: 1.0, high: 2.0, top_ratio }.quantile(p);
        let triangle = Distribution::Triangular { low: 1.0, high: 2.0 }.quantile(p);
        assert_absolute(trapezoid(0.0), triangle, 1e-15, "rounding");
        assert_absolute(trapezoid(1.0), 1.0 + p, 1e-15, "rounding");
    }
}

/// Student's law is drawn by another way than its quantile: its distribution function must be met.
/// The largest distance of N ordered values from F exceeds 1.95/√N once in a thousand samples
/// (Kolmogorov); the seed is fixed.
#[test]
fn exact_drawn_values_follow_their_law() {
    const N: usize = 20_000;
    let stream = Stream::new(11);
    for (coordinate, law) in every_law().into_iter().enumerate() {
        let mut values = vec![0.0; N];
        law.draw(&stream, coordinate as u32, 0, &mut values);
        values.sort_by(f64::total_cmp);
        let distance = values
            .iter()
            .enumerate()
            .map(|(k, x)| (law.cdf(*x) - (k as f64 + 0.5) / N as f64).abs())
            .fold(0.0, f64::max);
        let allowed = 1.95 / (N as f64).sqrt();
        assert!(distance < allowed, "{}: {distance} not below {allowed}", law.key());
    }
}

#[test]
fn exact_impossible_laws_are_refused_and_never_panic() {
    let wrong = [
        Distribution::Normal { mean: 0.0, standard_uncertainty: -1.0 },
        Distribution::Rectangular { low: 1.0, high: 1.0 },
        Distribution::Triangular { low: 2.0, high: 1.0 },
        Distribution::Trapezoidal { low: 0.0, high: 1.0, top_ratio: 1.5 },
        Distribution::ArcSine { low: f64::NAN, high: 1.0 },
        Distribution::StudentT { mean: 0.0, scale: 1.0, degrees_of_freedom: 0.0 },
        Distribution::Gamma { shape: f64::INFINITY, rate: 1.0 },
        Distribution::LogNormal { log_mean: 0.0, log_deviation: 0.0 },
        Distribution::Exactly(f64::INFINITY),
    ];
    for law in wrong {
        let error = law.check().unwrap_err();
        assert!(matches!(
            error.kind(),
            ErrorKind::OutOfRange { .. } | ErrorKind::Inconsistent { .. }
        ));
        for x in [-1.0, 0.0, 0.5, 1.0, f64::NAN] {
            let _ = (law.cdf(x), law.density(x), law.quantile(x), law.mean());
            let _ = law.standard_uncertainty();
        }
    }
    let normal = Distribution::Normal { mean: 0.0, standard_uncertainty: 1.0 };
    assert!(normal.quantile(1.5).is_nan() && normal.quantile(f64::NAN).is_nan());
    let two = Distribution::StudentT { mean: 0.0, scale: 1.0, degrees_of_freedom: 2.0 };
    assert_eq!(two.standard_uncertainty(), None);
}

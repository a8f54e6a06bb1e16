//! What the tests share: tolerances that must say why, and waveforms.

pub(crate) mod browser;
#[path = "../../examples/visits/mod.rs"]
pub(crate) mod invented_visits;
pub(crate) mod captures;
pub(crate) mod entries;
pub(crate) mod fields;
pub(crate) mod program;
pub(crate) mod recorded_visit;
#[cfg(unix)]
pub(crate) mod served;
pub(crate) mod visits;
#[cfg(unix)]
pub(crate) mod worksheet;

use loopcrest::waveform::{Shape, Waveform};

/// Asserts |got − want| ≤ tolerance · |want|; the reason says why the tolerance is what it is.
#[track_caller]
pub(crate) fn assert_relative(got: f64, want: f64, tolerance: f64, reason: &str) {
    assert!(!reason.is_empty(), "every tolerance has a reason");
    let off = (got - want).abs();
    assert!(
        off <= tolerance * want.abs(),
        "got {got}, want {want}: off by {off:.3e}, allowed {:.3e} ({reason})",
        tolerance * want.abs()
    );
}

/// Asserts |got − want| ≤ tolerance; the reason says why the tolerance is what it is.
#[track_caller]
pub(crate) fn assert_absolute(got: f64, want: f64, tolerance: f64, reason: &str) {
    assert!(!reason.is_empty(), "every tolerance has a reason");
    let off = (got - want).abs();
    assert!(
        approx::abs_diff_eq!(got, want, epsilon = tolerance),
        "got {got}, want {want}: off by {off:.3e}, allowed {tolerance:.3e} ({reason})"
    );
}

/// Asserts that a value agrees with digits as printed in a source, to half of the last digit.
#[track_caller]
pub(crate) fn agrees_as_printed(got: f64, printed: &str) {
    let want: f64 = printed.parse().expect("printed digits are a number");
    let decimals = printed.split_once('.').map_or(0, |(_, digits)| digits.len());
    let half = 0.5 * 10.0_f64.powi(-(decimals as i32));
    // A hair beyond half a digit, for ties that fall either way in binary.
    assert!((got - want).abs() <= half * (1.0 + 1e-9), "got {got}, printed {printed}");
}

/// One period of a shape, peak or fundamental 1, on a grid of `n` samples at 60 Hz.
pub(crate) fn unit_shape(shape: Shape, n: usize) -> Waveform {
    let samples_a: Vec<f64> =
        (0..n).map(|k| shape.at(std::f64::consts::TAU * (k as f64 + 0.5) / n as f64)).collect();
    Waveform::new(samples_a, n, 1.0 / (60.0 * n as f64)).expect("a valid shape")
}

//! Lines of shapes with and without a limited band, against closed forms written out beside them.

use std::f64::consts::{FRAC_PI_2, FRAC_PI_4, PI, SQRT_2};

use loopcrest::spectrum::{Spectrum, band_limited};
use loopcrest::waveform::{RingDown, Scale, Shape, Synthesis};

use crate::support::{assert_absolute, assert_relative, unit_shape};

/// Square wave: amplitude 4/(π h) for odd orders, nothing for even ones (closed form).
#[test]
fn exact_lines_of_a_square_wave() {
    let spectrum = Spectrum::of(&unit_shape(Shape::Square, 7200));
    for order in 1..20 {
        let amplitude_a = spectrum.line(order).unwrap().rms_a * SQRT_2;
        if order % 2 == 1 {
            let want = 4.0 / (PI * order as f64);
            assert_relative(amplitude_a, want, 2e-5, "folding: (π h/N)²/6 on 7200 samples");
        } else {
            assert_absolute(amplitude_a, 0.0, 1e-12, "symmetry");
        }
    }
}

/// The sampled corner of a square fakes no crest factor once its band is limited: the overshoot is
/// the Gibbs overshoot 2/π Si(π) = 1.1790 (closed form), at any order.
#[test]
fn exact_band_limited_square_overshoots_by_gibbs() {
    let square = Synthesis::new(Shape::Square, Scale::PeakA(1.0));
    let waveform = band_limited(&square, 99).unwrap();
    let spectrum = Spectrum::of(&waveform);
    assert_absolute(spectrum.line(101).unwrap().rms_a, 0.0, 1e-12, "above the limit");
    // Fundamental 4/π of the square's height: peak over height is peak over (π/4 · fundamental).
    let height = spectrum.fundamental_rms_a() * SQRT_2 * FRAC_PI_4;
    let overshoot = waveform.measures().dc.peak_a / height;
    assert_absolute(overshoot, 1.1790, 1e-3, "the limit of the overshoot for many orders");
}

/// Sine and cosine amplitudes of a line.
type Line = (f64, f64);

/// Every line up to a high order against the fundamental, size and phase.
fn check(shape: &Shape, samples_per_period: usize, top: usize, line: impl Fn(f64) -> Line) {
    let synthesis =
        Synthesis { samples_per_period, ..Synthesis::new(shape.clone(), Scale::RmsA(1.0)) };
    let spectrum = Spectrum::of(&band_limited(&synthesis, top).unwrap());
    let first = line(1.0);
    let per_rms = spectrum.fundamental_rms_a() * SQRT_2 / first.0.hypot(first.1);
    for order in 1..=top {
        let want = line(order as f64);
        let got = spectrum.line(order).unwrap();
        let amplitude = got.rms_a * SQRT_2 / per_rms;
        let (sine, cosine) = (amplitude * got.phase_rad.cos(), amplitude * got.phase_rad.sin());
        let why = "rounding of the closed form and of two transforms, against a peak of 1";
        assert_absolute(sine, want.0, 1e-12, why);
        assert_absolute(cosine, want.1, 1e-12, why);
    }
}

/// Pulses of duty D centred on the peaks: (4/πh) sin(hπ/2) sin(hπD/2) for odd h, wherever the edges fall
/// among the samples.
#[test]
fn exact_band_limited_lines_are_those_of_the_shape_pulses() {
    for duty in [0.001, 0.1234567, 2.0 / 3.0, 0.9999] {
        let shape = Shape::Pulse { duty };
        for (n, top) in [(64, 31), (7200, 3599)] {
            check(&shape, n, top, |h| {
                if h % 2.0 < 0.5 {
                    return (0.0, 0.0);
                }
                (4.0 / (PI * h) * (h * FRAC_PI_2).sin() * (h * FRAC_PI_2 * duty).sin(), 0.0)
            });
        }
    }
}

/// A sine switched on at a: for odd h > 1, with p = h + 1 and m = h − 1, sine part
/// [sin(pa)/p − sin(ma)/m]/π and cosine part [(cos(pa) − 1)/p − (cos(ma) − 1)/m]/π; for h = 1
/// (π − a + sin(2a)/2)/π and (cos 2a − 1)/(2π).
#[test]
fn exact_band_limited_lines_are_those_of_the_shape_phase_cut() {
    for a in [0.0, 0.3, 1.234_567, 2.5, 3.0] {
        check(&Shape::PhaseCut { delay_rad: a }, 512, 255, |h| {
            let (p, m) = (h + 1.0, h - 1.0);
            if h % 2.0 < 0.5 {
                (0.0, 0.0)
            } else if h < 1.5 {
                ((PI - a + 0.5 * (2.0 * a).sin()) / PI, ((2.0 * a).cos() - 1.0) / (2.0 * PI))
            } else {
                let sine = (p * a).sin() / p - (m * a).sin() / m;
                let cosine = ((p * a).cos() - 1.0) / p - ((m * a).cos() - 1.0) / m;
                (sine / PI, cosine / PI)
            }
        });
    }
}

/// Ramps of length r from the zero crossings: (4/(πh)) sin(hr)/(hr) for odd h; r = π/2 is the triangle.
#[test]
fn exact_band_limited_lines_are_those_of_the_shape_trapezoid() {
    for (shape, flat_ratio) in [
        (Shape::Triangle, 0.0),
        (Shape::Trapezoid { flat_ratio: 0.37 }, 0.37),
        (Shape::Trapezoid { flat_ratio: 1.0 - 1e-9 }, 1.0 - 1e-9),
        (Shape::Square, 1.0),
    ] {
        let ramp_rad = FRAC_PI_2 * (1.0 - flat_ratio);
        check(&shape, 720, 359, |h| {
            if h % 2.0 < 0.5 {
                return (0.0, 0.0);
            }
            let x = h * ramp_rad;
            (4.0 / (PI * h) * if x > 0.0 { x.sin() / x } else { 1.0 }, 0.0)
        });
    }
}

/// Half-wave sine: 1/2 sin θ, cosines of even h with −2/(π(h² − 1)), and the mean 1/π.
#[test]
fn exact_band_limited_lines_are_those_of_the_shape_half_wave() {
    check(&Shape::HalfWave, 256, 127, |h| {
        if h < 1.5 {
            (0.5, 0.0)
        } else if h % 2.0 < 0.5 {
            (0.0, -2.0 / (PI * (h * h - 1.0)))
        } else {
            (0.0, 0.0)
        }
    });
    let half = Synthesis::new(Shape::HalfWave, Scale::RmsA(1.0));
    let spectrum = Spectrum::of(&band_limited(&half, 9).unwrap());
    let ratio = spectrum.mean_a() / (SQRT_2 * spectrum.fundamental_rms_a());
    assert_relative(ratio, 2.0 / PI, 1e-12, "(1/π) over 1/2, rounding");
}

/// A very sharp knee, which is sampled, against the hard one, which has a closed form: what folds back
/// stays below the stated 1e-3 of the line at the highest order.
#[test]
fn exact_band_limited_lines_are_those_of_the_shape_soft_knee() {
    let lines = |sharpness| {
        let synthesis = Synthesis {
            samples_per_period: 64,
            ..Synthesis::new(Shape::ClippedSine { level_ratio: 0.7, sharpness }, Scale::RmsA(1.0))
        };
        Spectrum::of(&band_limited(&synthesis, 31).unwrap())
    };
    // A knee of 1e5 is 1e-5 wide: nothing against a cell of π/512.
    let (sampled, closed) = (lines(1e5), lines(f64::INFINITY));
    let most_a = closed.line(31).unwrap().rms_a.max(closed.line(29).unwrap().rms_a);
    for order in 1..=31 {
        let off_a = (sampled.line(order).unwrap().rms_a - closed.line(order).unwrap().rms_a).abs();
        assert!(off_a < 1e-3 * most_a, "order {order}: {off_a:e} of {most_a:e}");
    }
}

/// The lines of the ringing come from a closed form, its samples from a sum of bursts.
#[test]
fn exact_ringing_has_the_same_lines_in_both_ways() {
    let ring_down = RingDown { ratio: 0.4, order: 21.3, decay_rad: 0.3, start_rad: 1.0 };
    let synthesis = Synthesis {
        ring_down: Some(ring_down),
        samples_per_period: 72_000,
        ..Synthesis::new(Shape::Sine, Scale::RmsA(1.0))
    };
    let sampled = Spectrum::of(&synthesis.waveform().unwrap());
    let closed = Spectrum::of(&band_limited(&synthesis, 20_000).unwrap());
    for order in 1..200 {
        let (a, b) = (sampled.line(order).unwrap(), closed.line(order).unwrap());
        // Each burst begins with a kink of slope 21.3 · 0.28: folding of (1/N)² of it, and the power
        // beyond order 20,000 in the scale.
        let why = "kinks on 72,000 samples";
        assert_absolute(a.rms_a * a.phase_rad.cos(), b.rms_a * b.phase_rad.cos(), 1e-8, why);
        assert_absolute(a.rms_a * a.phase_rad.sin(), b.rms_a * b.phase_rad.sin(), 1e-8, why);
    }
}

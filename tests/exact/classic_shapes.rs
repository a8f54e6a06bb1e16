//! RMS, form factor, crest factor and meter errors of classic shapes against their closed forms.
//!
//! Source of every value: elementary integrals, written out beside it.

use std::f64::consts::{FRAC_1_SQRT_2, PI, SQRT_2};

use loopcrest::meter::Detector;
use loopcrest::spectrum::Spectrum;
use loopcrest::waveform::{Coupling, Shape, Waveform};

use crate::support::{assert_absolute, assert_relative, unit_shape};

/// Divisible by 720, so that every edge in the table falls between two samples.
const FINE: usize = 720_000;
const WHY: &str = "midpoint rule on 720,000 samples: at most (π/N)² relative for these shapes";

struct Exact {
    rms: f64,
    arv: f64,
    peak: f64,
}

fn check(shape: &Shape, coupling: Coupling, exact: &Exact) -> Waveform {
    let waveform = unit_shape(shape.clone(), FINE);
    let measures = waveform.measures();
    let coupled = measures.coupled(coupling);
    assert_relative(coupled.rms_a, exact.rms, 1e-9, WHY);
    assert_relative(coupled.arv_a, exact.arv, 1e-9, WHY);
    assert_relative(coupled.peak_a, exact.peak, 1e-9, WHY);
    assert_relative(coupled.form_factor().unwrap(), exact.rms / exact.arv, 2e-9, WHY);
    assert_relative(coupled.crest_factor().unwrap(), exact.peak / exact.rms, 2e-9, WHY);

    // Average scaled by π/(2√2), peak by 1/√2: both read the RMS of a sine.
    let shown = Detector::AverageResponding(coupling).read(&measures).shown_a();
    assert_relative(shown, PI / (2.0 * SQRT_2) * exact.arv, 1e-9, WHY);
    let shown = Detector::PeakResponding(coupling).read(&measures).shown_a();
    assert_relative(shown, FRAC_1_SQRT_2 * exact.peak, 1e-9, WHY);
    let shown = Detector::TrueRms(coupling).read(&measures).shown_a();
    assert_relative(shown, exact.rms, 1e-9, WHY);
    if coupling == Coupling::Dc {
        // Both movements keep the mean: the square's root, and π/(2√2) of the rectified average.
        let shown = Detector::MovingIron.read(&measures).shown_a();
        assert_relative(shown, exact.rms, 1e-9, WHY);
        let shown = Detector::RectifierMovingCoil.read(&measures).shown_a();
        assert_relative(shown, PI / (2.0 * SQRT_2) * exact.arv, 1e-9, WHY);
    }
    waveform
}

/// Error of an average- and a peak-responding meter in percent.
fn errors_percent(waveform: &Waveform, coupling: Coupling) -> (f64, f64) {
    let measures = waveform.measures();
    let truth = waveform.true_rms(coupling);
    let percent = |detector: Detector| {
        100.0 * detector.read(&measures).error_ratio(truth).expect("the current is not zero")
    };
    (percent(Detector::AverageResponding(coupling)), percent(Detector::PeakResponding(coupling)))
}

const TABLE: &str = "the table is rounded to two decimals of a percent";

#[test]
fn exact_sine() {
    let exact = Exact { rms: FRAC_1_SQRT_2, arv: 2.0 / PI, peak: 1.0 };
    check(&Shape::Sine, Coupling::Dc, &exact);
    let waveform = check(&Shape::Sine, Coupling::Ac, &exact);
    let (average, peak) = errors_percent(&waveform, Coupling::Ac);
    assert_absolute(average, 0.0, 1e-7, WHY);
    assert_absolute(peak, 0.0, 1e-7, WHY);
}

#[test]
fn exact_square() {
    // |i| = 1 throughout; average error π/(2√2) − 1, peak error 1/√2 − 1, THD √(π²/8 − 1).
    let exact = Exact { rms: 1.0, arv: 1.0, peak: 1.0 };
    check(&Shape::Square, Coupling::Dc, &exact);
    let waveform = check(&Shape::Square, Coupling::Ac, &exact);
    let (average, peak) = errors_percent(&waveform, Coupling::Ac);
    assert_absolute(average, 11.0721, 1e-4, TABLE);
    assert_absolute(peak, -29.2893, 1e-4, TABLE);
    let distortion = Spectrum::of(&waveform).distortion_ratio().unwrap();
    assert_relative(distortion, (PI * PI / 8.0 - 1.0).sqrt(), 1e-9, WHY);
}

#[test]
fn exact_triangle() {
    // RMS 1/√3, average 1/2, fundamental amplitude 8/π².
    let waveform = check(
        &Shape::Triangle,
        Coupling::Ac,
        &Exact { rms: 1.0 / 3.0_f64.sqrt(), arv: 0.5, peak: 1.0 - 2.0 / FINE as f64 },
    );
    let (average, _) = errors_percent(&waveform, Coupling::Ac);
    assert_absolute(average, -3.8087, 1e-4, TABLE);
    let (_, peak) = errors_percent(&waveform, Coupling::Ac);
    assert_absolute(peak, 22.474, 1e-3, TABLE);
    let fundamental_rms = 8.0 / (PI * PI) * FRAC_1_SQRT_2;
    let distortion = (1.0 / 3.0 - fundamental_rms * fundamental_rms).sqrt() / fundamental_rms;
    assert_relative(
        Spectrum::of(&waveform).distortion_ratio().unwrap(),
        distortion,
        1e-8,
        "difference of two nearly equal squares: the 1e-11 of each is amplified by 1/THD²",
    );
}

#[test]
fn exact_alternating_pulses() {
    // RMS √D, average D, peak 1.
    for (duty, average_percent, peak_percent) in [(0.25, -44.464, 41.421), (0.10, -64.876, 123.607)]
    {
        let waveform = check(
            &Shape::Pulse { duty },
            Coupling::Ac,
            &Exact { rms: duty.sqrt(), arv: duty, peak: 1.0 },
        );
        let (average, peak) = errors_percent(&waveform, Coupling::Ac);
        assert_absolute(average, average_percent, 1e-3, TABLE);
        assert_absolute(peak, peak_percent, 1e-3, TABLE);
    }
}

#[test]
fn exact_half_wave_sine_dc_coupled_and_through_a_transformer() {
    let exact = Exact { rms: 0.5, arv: 1.0 / PI, peak: 1.0 };
    let waveform = check(&Shape::HalfWave, Coupling::Dc, &exact);
    let (average, peak) = errors_percent(&waveform, Coupling::Dc);
    assert_absolute(average, -29.289, 1e-3, TABLE);
    assert_absolute(peak, 41.421, 1e-3, TABLE);

    // With the mean m = 1/π removed: RMS √(1/4 − m²); the rectified mean is twice the area above m,
    // (2/2π)·[2 cos a − m (π − 2a)] with a = asin m.
    let mean = 1.0 / PI;
    let a = mean.asin();
    let above = 2.0 * a.cos() - mean * (PI - 2.0 * a);
    let exact = Exact { rms: (0.25 - mean * mean).sqrt(), arv: above / PI, peak: 1.0 - mean };
    check(&Shape::HalfWave, Coupling::Ac, &exact);
    let (average, peak) = errors_percent(&waveform, Coupling::Ac);
    assert_absolute(average, 1.06, 5e-3, TABLE);
    assert_absolute(peak, 25.0, 0.05, TABLE);
}

#[test]
fn exact_block_of_120_degrees() {
    // |i| = 1 over two thirds of the period.
    let exact = Exact { rms: (2.0_f64 / 3.0).sqrt(), arv: 2.0 / 3.0, peak: 1.0 };
    let waveform = check(&Shape::Block120, Coupling::Ac, &exact);
    let (average, peak) = errors_percent(&waveform, Coupling::Ac);
    assert_absolute(average, -9.31, 5e-3, TABLE);
    assert_absolute(peak, -13.40, 5e-3, TABLE);
    assert_absolute(
        100.0 * Spectrum::of(&waveform).distortion_ratio().unwrap(),
        31.08,
        5e-3,
        TABLE,
    );
}

#[test]
fn exact_trapezoid() {
    // Flat share f: RMS √(f + (1 − f)/3), average f + (1 − f)/2.
    for flat_ratio in [0.2, 0.5, 0.8] {
        check(
            &Shape::Trapezoid { flat_ratio },
            Coupling::Ac,
            &Exact {
                rms: (flat_ratio + (1.0 - flat_ratio) / 3.0).sqrt(),
                arv: flat_ratio + 0.5 * (1.0 - flat_ratio),
                peak: 1.0,
            },
        );
    }
}

#[test]
fn exact_phase_cut_sine() {
    // RMS √[(1 − a/π + sin 2a/(2π))/2], average (1 + cos a)/π.
    for (delay_deg, average_percent, peak_percent, thd_percent) in [
        (30.0, -5.32, 1.47, 15.1),
        (60.0, -16.38, 11.5, 37.7),
        (90.0, -29.29, 41.4, 65.05),
        (120.0, -43.46, 95.9, 102.6),
    ] {
        let a = f64::to_radians(delay_deg);
        let exact = Exact {
            rms: (0.5 * (1.0 - a / PI + (2.0 * a).sin() / (2.0 * PI))).sqrt(),
            arv: (1.0 + a.cos()) / PI,
            peak: if delay_deg > 90.0 { a.sin() } else { 1.0 },
        };
        let shape = Shape::PhaseCut { delay_rad: a };
        // At 120 degrees the peak is the edge itself; the first sample lies half a cell inside.
        let waveform = if delay_deg > 90.0 {
            let waveform = unit_shape(shape, FINE);
            let measures = waveform.measures().ac;
            assert_relative(measures.rms_a, exact.rms, 1e-9, WHY);
            assert_relative(measures.arv_a, exact.arv, 1e-9, WHY);
            assert_relative(measures.peak_a, exact.peak, 5e-6, "half a cell from the edge: π/N");
            waveform
        } else {
            check(&shape, Coupling::Ac, &exact)
        };
        let (average, peak) = errors_percent(&waveform, Coupling::Ac);
        assert_absolute(average, average_percent, 5.01e-3, TABLE);
        assert_absolute(peak, peak_percent, 0.051, "the table is rounded to one decimal");
        assert_absolute(
            100.0 * Spectrum::of(&waveform).distortion_ratio().unwrap(),
            thd_percent,
            0.051,
            "the table is rounded to one decimal",
        );
    }
}

/// A hard-clipped sine: clipped where sin θ > c, with a = asin c.
#[test]
fn exact_hard_clipped_sine() {
    for level in [0.3, 0.7, 0.95] {
        let a = f64::asin(level);
        // Over a quarter period: ∫₀ᵃ sin² + level² (π/2 − a), and ∫₀ᵃ sin + level (π/2 − a).
        let square = (0.5 * a - 0.25 * (2.0 * a).sin() + level * level * (0.5 * PI - a)) * 2.0 / PI;
        let mean = (1.0 - a.cos() + level * (0.5 * PI - a)) * 2.0 / PI;
        let shape = Shape::ClippedSine { level_ratio: level, sharpness: f64::INFINITY };
        let measures = unit_shape(shape, FINE).measures().ac;
        let why = "the kink falls anywhere in its cell: an error of second order in π/N";
        assert_relative(measures.rms_a, square.sqrt(), 1e-9, why);
        assert_relative(measures.arv_a, mean, 1e-9, why);
        assert_relative(measures.peak_a, level, 1e-12, "the flat top is sampled exactly");
    }
}

/// A knee of growing sharpness goes over into the hard cut, and a far knee leaves the sine alone.
#[test]
fn exact_limits_of_the_clipping_knee() {
    let soft = |level_ratio, sharpness| {
        unit_shape(Shape::ClippedSine { level_ratio, sharpness }, 7200).measures().ac
    };
    let hard = soft(0.7, f64::INFINITY);
    assert_relative(soft(0.7, 2000.0).rms_a, hard.rms_a, 1e-3, "ln 2 / 2000 at the knee itself");
    assert_relative(soft(50.0, 8.0).rms_a, FRAC_1_SQRT_2, 1e-12, "(1/50)⁸ / 8 vanishes");
}

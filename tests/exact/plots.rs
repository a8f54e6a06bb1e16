//! The ladder's numbers against closed forms, so that the picture can't teach anything wrong.

#![allow(clippy::unwrap_used, reason = "a test may stop at what cannot be made")]

use std::f64::consts::{FRAC_PI_2, FRAC_PI_3, PI, SQRT_2};

use loopcrest::assess::ladder;

/// The largest sample of a sharp corner lies half a cell beside it: 36 000 samples a period leave
/// up to 1e-4 of the peak; means and squares are far closer.
const PEAK_TOLERANCE: f64 = 2e-4;
const MEAN_TOLERANCE: f64 = 1e-6;

/// (name, average error, peak error) from elementary integrals with peak 1: average reading
/// π/(2√2) · arv, peak reading peak/√2, both against the RMS with the mean.
fn closed_forms() -> Vec<(&'static str, f64, f64)> {
    let average = |arv: f64, rms: f64| PI / (2.0 * SQRT_2) * arv / rms - 1.0;
    let peak = |peak: f64, rms: f64| peak / SQRT_2 / rms - 1.0;
    // Phase cut at a: rms² = (1 − a/π + sin 2a / 2π)/2, arv = (1 + cos a)/π, peak = sin max(a, 90°).
    let cut = |a: f64| {
        let rms = ((1.0 - a / PI + (2.0 * a).sin() / (2.0 * PI)) / 2.0).sqrt();
        (average((1.0 + a.cos()) / PI, rms), peak(a.max(FRAC_PI_2).sin(), rms))
    };
    // Third harmonic h at 0° or 180°: rms² = (1 + h²)/2, arv = (2/π)(1 ± h/3).
    let third = |sign: f64| average(2.0 / PI * (1.0 + sign * 0.2 / 3.0), (1.04_f64 / 2.0).sqrt());
    // Half-wave less its mean m = 1/π: arv = (2 cos b − m (π − 2b))/π with sin b = m.
    let m = 1.0 / PI;
    let b = m.asin();
    let lost = (2.0 * b.cos() - m * (PI - 2.0 * b)) / PI;
    let trapezoid = (0.5 + 0.5 / 3.0_f64).sqrt();
    vec![
        ("sine", 0.0, 0.0),
        ("3rd harmonic 20 % at 180°", third(-1.0), peak(1.2, (1.04_f64 / 2.0).sqrt())),
        ("triangle", average(0.5, 1.0 / 3.0_f64.sqrt()), peak(1.0, 1.0 / 3.0_f64.sqrt())),
        ("trapezoid, half of it flat", average(0.75, trapezoid), peak(1.0, trapezoid)),
        ("square", average(1.0, 1.0), peak(1.0, 1.0)),
        (
            "120° blocks",
            average(2.0 / 3.0, (2.0_f64 / 3.0).sqrt()),
            peak(1.0, (2.0_f64 / 3.0).sqrt()),
        ),
        ("pulses, 25 % of the time", average(0.25, 0.5), peak(1.0, 0.5)),
        ("sine cut for 60°", cut(FRAC_PI_3).0, cut(FRAC_PI_3).1),
        ("sine cut for 90°", cut(FRAC_PI_2).0, cut(FRAC_PI_2).1),
        ("sine cut for 120°", cut(2.0 * FRAC_PI_3).0, cut(2.0 * FRAC_PI_3).1),
        ("half-wave, mean kept", average(m, 0.5), peak(1.0, 0.5)),
        ("half-wave, mean lost", average(lost, 0.5), peak(1.0 - m, 0.5)),
    ]
}

#[test]
fn exact_ladder_agrees_with_closed_forms() {
    let rungs = ladder().unwrap();
    for (name, average, peak) in closed_forms() {
        let rung = rungs.iter().find(|rung| rung.name == name);
        let rung = rung.unwrap_or_else(|| panic!("no rung \"{name}\""));
        let off = (rung.average_error_ratio - average).abs();
        assert!(off < MEAN_TOLERANCE, "{name}: average error is off by {off:e}");
        let off = (rung.peak_error_ratio - peak).abs();
        assert!(off < PEAK_TOLERANCE, "{name}: peak error is off by {off:e}");
    }
}

/// The same 20 % of third harmonic: +4.60, −0.16 and −8.48 % by its phase. Closed form at 0° and
/// 180° (1 ± h/3)/√(1 + h²) − 1; the value at 90° by numerical integration with 2e6 points.
#[test]
fn exact_phase_decides_an_average_responding_reading() {
    let rungs = ladder().unwrap();
    let error = |name: &str| {
        let rung = rungs.iter().find(|rung| rung.name == name);
        format!("{:+.2}", 100.0 * rung.unwrap().average_error_ratio)
    };
    assert_eq!(error("3rd harmonic 20 % at 0°"), "+4.60");
    assert_eq!(error("3rd harmonic 20 % at 90°"), "-0.16");
    assert_eq!(error("3rd harmonic 20 % at 180°"), "-8.48");
}

/// A true-RMS meter that loses the mean of a half-wave: √(1/4 − 1/π²) against 1/2.
#[test]
fn exact_true_rms_without_the_mean_reads_low_on_a_half_wave() {
    let rungs = ladder().unwrap();
    let rung = rungs.last().unwrap();
    let expected = (0.25 - 1.0 / (PI * PI)).sqrt() / 0.5 - 1.0;
    let off = (rung.true_rms_error_ratio - expected).abs();
    assert!(off < MEAN_TOLERANCE, "off by {off:e}: midpoint rule on 36 000 samples");
    let kept = rungs.iter().filter(|other| other.name != rung.name);
    for other in kept {
        let off = other.true_rms_error_ratio.abs();
        assert!(
            off < 1e-12,
            "{}: true RMS with the mean is off by {off:e}, rounding only",
            other.name
        );
    }
}

//! Numbers of the training figures, computed again another way.

use std::f64::consts::PI;

use loopcrest::classroom::training::TrainingFigure;
use loopcrest::plot::Item;

use crate::law::training::{CIRCUIT, drawn};

/// RMS and rectified mean of samples on a uniform grid, by plain sums.
fn rms_and_mean(samples: &[f64]) -> (f64, f64) {
    let n = samples.len() as f64;
    let square: f64 = samples.iter().map(|i| i * i).sum();
    (f64::sqrt(square / n), samples.iter().map(|i| i.abs()).sum::<f64>() / n)
}

/// The error of a meter that shows π/(2√2) of the rectified mean, in percent.
fn average_error_percent(samples: &[f64]) -> f64 {
    let (rms, mean) = rms_and_mean(samples);
    100.0 * (PI / 8.0_f64.sqrt() * mean / rms - 1.0)
}

fn signed(percent: f64) -> String {
    let sign = if percent < -0.05 {
        "−"
    } else if percent >= 0.05 {
        "+"
    } else {
        ""
    };
    format!("{sign}{:.1}\u{a0}%", percent.abs())
}

/// Closed form: i = √2 (sin θ + 0.8 d sin(3θ + a) + 0.6 d sin(5θ + b)) has the distortion d. The phases
/// are read from the figure's own footnote; the currents are made anew from them.
#[test]
fn exact_one_distortion_with_three_errors() {
    let figure = drawn(TrainingFigure::SameThd);
    let phases = figure.footnote.split(": ").skip(1).collect::<Vec<_>>().join(": ");
    let phases = phases.trim_end_matches('.').replace("from left to right: ", "");
    let mut errors = Vec::new();
    for one in phases.split("; ") {
        let degrees: Vec<f64> = one
            .split(", ")
            .map(|part| part.split(": ").last().unwrap().trim_end_matches('°').parse().unwrap())
            .collect();
        let (third, fifth) = (degrees[0].to_radians(), degrees[1].to_radians());
        let samples: Vec<f64> = (0..72_000)
            .map(|k| {
                let theta = 2.0 * PI * (f64::from(k) + 0.5) / 72_000.0;
                theta.sin()
                    + 0.16 * (3.0 * theta + third).sin()
                    + 0.12 * (5.0 * theta + fifth).sin()
            })
            .collect();
        errors.push(average_error_percent(&samples));
    }
    assert_eq!(errors.len(), 3);
    // The outer phases are whole degrees; the middle one is rounded to a degree in the footnote.
    assert!(figure.caption.contains(&signed(errors[0])), "{} {errors:?}", figure.caption);
    assert!(figure.caption.contains(&signed(errors[2])), "{} {errors:?}", figure.caption);
    assert!(errors[0] < -5.0 && errors[2] > 5.0 && errors[1].abs() < 0.2, "{errors:?}");
    assert!(figure.caption.contains("20.0\u{a0}%"), "{}", figure.caption);
}

/// The three currents as drawn have one distortion to 1e-9: their lines by plain sums over the engine's
/// samples (a discrete Fourier sum on a whole period is exact but for rounding).
#[test]
fn exact_three_distortions_agree() {
    use loopcrest::plot::SameThdCase;
    use loopcrest::waveform::{Harmonic, Scale, Shape, Synthesis};
    let cases = TrainingFigure::same_thd_cases(0.2, 6.6, 60.0).unwrap();
    let mut distortions = Vec::new();
    for case in &cases {
        let samples = case.waveform.samples_a();
        let n = samples.len() as f64;
        let line = |order: f64| {
            let (mut re, mut im) = (0.0, 0.0);
            for (k, i_a) in samples.iter().enumerate() {
                let theta = 2.0 * PI * order * k as f64 / n;
                re += i_a * theta.cos();
                im += i_a * theta.sin();
            }
            f64::hypot(re, im)
        };
        let (first, third, fifth) = (line(1.0), line(3.0), line(5.0));
        distortions.push(f64::hypot(third, fifth) / first);
        assert!((case.thd_ratio().unwrap() - distortions[distortions.len() - 1]).abs() < 1e-9);
    }
    for distortion in &distortions {
        assert!((distortion - 0.2).abs() < 1e-9, "{distortions:?}");
    }
    let errors: Vec<f64> =
        cases.iter().map(|case| average_error_percent(case.waveform.samples_a())).collect();
    assert!(errors[1].abs() < 1e-6, "found by halving: {errors:?}");
    // No phases on a finer grid go far beyond those found on the coarse one.
    let mut least: f64 = 0.0;
    let mut most: f64 = 0.0;
    for third in 0..40 {
        for fifth in 0..40 {
            let phase = |k: i32| 2.0 * PI * f64::from(k) / 40.0;
            let harmonics = vec![
                Harmonic { order: 3, ratio: 0.16, phase_rad: phase(third) },
                Harmonic { order: 5, ratio: 0.12, phase_rad: phase(fifth) },
            ];
            let mut synthesis = Synthesis::new(Shape::Harmonics(harmonics), Scale::RmsA(6.6));
            synthesis.samples_per_period = 720;
            synthesis.periods = 1;
            let error = average_error_percent(synthesis.waveform().unwrap().samples_a());
            (least, most) = (least.min(error), most.max(error));
        }
    }
    assert!(errors[0] < least + 0.1 && errors[2] > most - 0.1, "{errors:?} {least} {most}");
    let _: &SameThdCase = &cases[0];
}

/// The error at both ends of the load, from the solved currents' samples by plain sums.
#[test]
fn exact_the_sign_changes_between_short_and_full_load() {
    let figure = drawn(TrainingFigure::SignChange);
    let step = &CIRCUIT.steps().iter().find(|step| step.number == 1).unwrap();
    let error = |load_ratio: f64| {
        let point = CIRCUIT.held(step, load_ratio).unwrap();
        average_error_percent(point.output.samples_a())
    };
    let (shorted, full) = (error(0.001), error(1.0));
    assert!(shorted < -1.0 && full > 0.5, "{shorted} {full}");
    assert!(figure.caption.contains(&signed(shorted)), "{}: {shorted}", figure.caption);
    assert!(figure.caption.contains(&signed(full)), "{}: {full}", figure.caption);
    for item in &figure.panels[0].items {
        if let Item::Curve { points, .. } = item {
            assert!(points[0].1 < 0.0 && points[points.len() - 1].1 > 0.0, "every step");
        }
    }
}

/// Power of the drawn curve: its mean by the trapezoidal rule is the level drawn and told.
#[test]
fn exact_the_mean_power_is_that_of_the_rms() {
    let figure = drawn(TrainingFigure::WhyRms);
    let items = &figure.panels[1].items;
    let Item::Curve { points, .. } = &items[0] else { panic!("the power is a curve") };
    let area: f64 = points.windows(2).map(|p| 0.5 * (p[0].1 + p[1].1) * (p[1].0 - p[0].0)).sum();
    let mean_w = area / (points[points.len() - 1].0 - points[0].0);
    let Item::Level { y, .. } = &items[1] else { panic!("its mean is a level") };
    // Two points for each of 480 columns.
    assert!((mean_w / y - 1.0).abs() < 5e-3, "{mean_w} {y}");
    assert!(figure.caption.contains(&format!("{y:.1}\u{a0}W")), "{}", figure.caption);
}

//! The generic regulator against rows from an independent event-located half-wave shooting with
//! residuals below 1e-13 (another integrator, another section, another program). It shares with
//! ours that the period is solved for by Newton; it shares no code and no step.

use loopcrest::circuit::Symmetry;
use loopcrest::regulator::{OperatingPoint, ResistiveLoad, ResonantRegulator, SolveOptions};

struct Row {
    load: f64,
    target_a: f64,
    delay_deg: f64,
    average_error_percent: f64,
    crest_factor: f64,
    thd_percent: f64,
    capacitor_rms_v: f64,
    capacitor_peak_v: f64,
}

const ROWS: [Row; 3] = [
    Row {
        load: 0.02,
        target_a: 4.1,
        delay_deg: 131.141,
        average_error_percent: -2.337,
        crest_factor: 1.5068,
        thd_percent: 6.611,
        capacitor_rms_v: 959.57,
        capacitor_peak_v: 1151.0,
    },
    Row {
        load: 0.50,
        target_a: 2.8,
        delay_deg: 115.772,
        average_error_percent: -1.270,
        crest_factor: 1.4864,
        thd_percent: 8.293,
        capacitor_rms_v: 735.68,
        capacitor_peak_v: 947.3,
    },
    Row {
        load: 1.00,
        target_a: 4.1,
        delay_deg: 134.876,
        average_error_percent: 0.751,
        crest_factor: 1.4054,
        thd_percent: 7.751,
        capacitor_rms_v: 1349.65,
        capacitor_peak_v: 1622.3,
    },
];

/// THD over harmonics 2 to 59, by correlation with each line.
fn thd_percent(samples: &[f64]) -> f64 {
    let n = samples.len() as f64;
    let square = |order: usize| {
        let (mut re, mut im) = (0.0, 0.0);
        for (k, x) in samples.iter().enumerate() {
            let phase = std::f64::consts::TAU * order as f64 * (k as f64 + 0.5) / n;
            re += x * phase.cos();
            im += x * phase.sin();
        }
        re * re + im * im
    };
    100.0 * ((2..60).map(square).sum::<f64>() / square(1)).sqrt()
}

fn agrees(what: &str, row: &Row, got: f64, printed: f64, last_digit: f64) {
    // One unit of the last printed digit, as asked; half a unit is rounding, half is theirs.
    assert!(
        (got - printed).abs() <= last_digit,
        "{what} at load {} and {} A: {got} against {printed}",
        row.load,
        row.target_a
    );
}

fn check(row: &Row, point: &OperatingPoint) {
    let measures = point.output.measures();
    agrees("delay", row, point.delay_rad().to_degrees(), row.delay_deg, 1e-3);
    let error = 100.0 * point.average_responding_error_ratio();
    agrees("average-responding error", row, error, row.average_error_percent, 1e-3);
    agrees("crest factor", row, measures.dc.crest_factor().unwrap(), row.crest_factor, 1e-4);
    agrees("THD", row, thd_percent(point.output.samples_a()), row.thd_percent, 1e-3);
    let traces = point.traces(7200).unwrap();
    let capacitor = traces.iter().find(|trace| trace.name == "capacitor").unwrap();
    let mean_square = capacitor.voltage_v.iter().map(|v| v * v).sum::<f64>() / 7200.0;
    let peak_v = capacitor.voltage_v.iter().fold(0.0_f64, |m, v| m.max(v.abs()));
    agrees("capacitor RMS", row, mean_square.sqrt(), row.capacitor_rms_v, 0.01);
    agrees("capacitor peak", row, peak_v, row.capacitor_peak_v, 0.1);
    let slowest = point.solution.multipliers[0].norm();
    assert!(slowest < 1.0 && slowest > 0.99, "all inside the unit circle, one slow: {slowest}");
}

#[test]
fn cross_generic_regulator_agrees_with_independent_shooting() {
    let regulator = ResonantRegulator::generic(10_000.0, 6.6, 60.0).unwrap();
    for row in &ROWS {
        let load = ResistiveLoad::new(row.load * 230.0).unwrap();
        let held = regulator.hold(&load, row.target_a, None, &SolveOptions::default());
        check(row, &held.unwrap().held().unwrap());
    }
}

/// The same rows over the full period: no symmetry assumed, so even harmonics could appear.
#[test]
fn cross_full_period_shooting_finds_the_same_symmetric_solution() {
    let regulator = ResonantRegulator::generic(10_000.0, 6.6, 60.0).unwrap();
    let mut options = SolveOptions::default();
    options.shooting.symmetry = Symmetry::FullPeriod;
    for row in &ROWS {
        let load = ResistiveLoad::new(row.load * 230.0).unwrap();
        let point = regulator.hold(&load, row.target_a, None, &options).unwrap().held().unwrap();
        check(row, &point);
        let samples = point.output.samples_a();
        let odd = (0..3600).fold(0.0_f64, |m, k| m.max((samples[k] + samples[k + 3600]).abs()));
        assert!(odd < 1e-6, "half-wave symmetric to the tolerance times the slow mode: {odd:e}");
    }
}

//! Periods, half cycles, windows and groups of tones whose values are closed forms.

use std::f64::consts::{PI, SQRT_2, TAU};

use loopcrest::capture::{HarmonicGroups, PeriodOptions, PeriodStart, PeriodTable, Samples};

use crate::support::{assert_absolute, assert_relative};

fn samples(rate_hz: f64, seconds: f64, at: impl Fn(f64) -> f64) -> Samples {
    let count = (rate_hz * seconds) as usize;
    Samples::new((0..count).map(|k| at(k as f64 / rate_hz)).collect(), rate_hz).unwrap()
}

fn table(samples: &Samples) -> PeriodTable {
    PeriodTable::of(samples, &PeriodOptions::default()).unwrap()
}

/// √(m² + Σ A²/2) in every period, half cycle and window; peak, mean and rectified mean of a sine
/// A, mean m < A: (2/π)(√(A² − m²) + m arcsin(m/A)).
#[test]
fn exact_every_period_of_a_sine_with_a_mean() {
    let (a, m, hz) = (6.6 * SQRT_2, 0.5, 50.07);
    let table = table(&samples(10_000.0, 1.0, |t| m + a * (TAU * hz * t).sin()));
    let rms_a = (m * m + a * a / 2.0_f64).sqrt();
    let arv_a = 2.0 / PI * ((a * a - m * m).sqrt() + m * (m / a).asin());
    assert!(table.periods.len() >= 48, "{}", table.periods.len());
    assert_eq!(table.windows.len(), 5, "50 periods from the rising zero at the first sample");
    for row in &table.periods {
        let why = "the frequency of a window is found to about 1e-6";
        assert_relative(row.measures.dc.rms_a, rms_a, 1e-5, why);
        assert_absolute(row.measures.mean_a, m, 1e-4, why);
        assert_relative(row.measures.dc.arv_a, arv_a, 1e-4, "256 points: (π/256)²/3");
        assert_relative(row.measures.dc.peak_a, a + m, 1e-4, "256 points: 1 − cos(π/256)");
        assert_absolute(row.frequency_hz, hz, 1e-3, "ends of the Hann window and a pull to zero");
    }
    for half in &table.half_cycles {
        assert_relative(half.rms_a, rms_a, 1e-5, "as above");
    }
    for window in &table.windows {
        assert_relative(window.rms_a, rms_a, 1e-5, "as above");
        assert_relative(window.groups.line_rms_a(10).unwrap(), a / SQRT_2, 1e-5, "as above");
    }
}

/// f(t) = f₀ + r t: period k is as long as the phase says; followed, every period keeps its RMS.
#[test]
fn exact_frequency_that_drifts() {
    let (f0, per_s) = (49.5, 0.5);
    let phase = |t: f64| TAU * (f0 * t + 0.5 * per_s * t * t);
    let table = table(&samples(5000.0, 4.0, |t| 2.0 * phase(t).sin()));
    for row in &table.periods {
        let middle_s = row.start_s + 0.5 * row.period_s();
        let want_hz = f0 + per_s * middle_s;
        assert_absolute(row.frequency_hz, want_hz, 0.06, "half a window of 0.2 s at 0.5 Hz/s");
        assert_relative(row.measures.dc.rms_a, SQRT_2, 1e-3, "0.06 Hz is 1.2e-3 of a period");
        let turn = phase(row.start_s) / TAU;
        assert_absolute(turn - turn.round(), 0.0, 0.01, "begun at the rising zero, pulled back");
    }
}

/// From the first sample when asked: no part of the record is lost.
#[test]
fn exact_periods_from_the_first_sample() {
    let tone = samples(4000.0, 0.5, |t| (TAU * 50.0 * t + 1.0).sin());
    let options = PeriodOptions {
        start: PeriodStart::FirstSample,
        frequency_hz: Some(50.0),
        ..PeriodOptions::default()
    };
    let table = PeriodTable::of(&tone, &options).unwrap();
    assert_absolute(table.periods[0].start_s, 0.0, 0.0, "the first sample");
    assert_eq!(table.periods.len(), 24, "25 periods end one sample after the last");
    assert!(table.periods.iter().all(|row| !row.tracked), "the caller's frequency");
}

/// 12 cycles at 60 Hz, and no period across a gap.
#[test]
fn exact_windows_at_60_hz_and_a_gap() {
    let mut tone: Vec<f64> =
        (0..12_000).map(|k| (TAU * 60.0 * f64::from(k) / 6000.0).sin()).collect();
    tone[6050..6100].fill(f64::NAN);
    let table = table(&Samples::new(tone, 6000.0).unwrap());
    assert!(table.windows.iter().all(|window| window.cycles == 12));
    let (from_s, to_s) = (6050.0 / 6000.0, 6100.0 / 6000.0);
    for row in &table.periods {
        let end_s = row.start_s + row.period_s();
        assert!(end_s <= from_s + 1e-6 || row.start_s >= to_s - 1e-6, "across the gap: {row:?}");
        assert_relative(row.measures.dc.rms_a, 1.0 / SQRT_2, 1e-5, "as without a gap");
    }
}

/// A line on the grid of 5 Hz goes to one line, and to the groups that hold it.
#[test]
fn exact_interharmonic_on_a_line() {
    let (n, cycles) = (2560, 10);
    let tone: Vec<f64> = (0..n)
        .map(|k| {
            let t = f64::from(k) / f64::from(n) * 0.2;
            10.0 * SQRT_2 * (TAU * 50.0 * t).sin()
                + 0.5 * SQRT_2 * (TAU * 175.0 * t).sin()
                + 0.3 * SQRT_2 * (TAU * 205.0 * t).sin()
        })
        .collect();
    let groups = HarmonicGroups::of(&tone, cycles, 40).unwrap();
    let rounding = "rounding of the transform";
    assert_absolute(groups.line_rms_a(35).unwrap(), 0.5, 1e-12, rounding);
    // 175 Hz is the edge between the third and the fourth group: half of its power to each.
    assert_absolute(groups.group_rms_a(3).unwrap(), 0.5 / SQRT_2, 1e-12, rounding);
    let fourth_a = (0.125 + 0.09_f64).sqrt();
    assert_absolute(groups.group_rms_a(4).unwrap(), fourth_a, 1e-12, rounding);
    // 205 Hz is the line beside the fourth harmonic: in its subgroup and in no centred one.
    assert_absolute(groups.subgroup_rms_a(4).unwrap(), 0.3, 1e-12, rounding);
    assert_absolute(groups.interharmonic_group_rms_a(3).unwrap(), 0.5, 1e-12, rounding);
    assert_absolute(groups.interharmonic_group_rms_a(4).unwrap(), 0.3, 1e-12, rounding);
    assert_absolute(groups.interharmonic_subgroup_rms_a(4).unwrap(), 0.0, 1e-12, rounding);
    assert_absolute(groups.group_rms_a(1).unwrap(), 10.0, 1e-12, rounding);
    let thd = 0.3 / 10.0;
    assert_absolute(groups.subgroup_thd_ratio().unwrap(), thd, 1e-12, rounding);
}

/// A tone of 178 Hz between the lines at 175 and 180 Hz: each line k takes |sin(πd)/(N sin(πd/N))| of
/// it, d = 35.6 − k, and its image the same with 35.6 + k.
#[test]
fn exact_interharmonic_between_lines() {
    let (n, cycles) = (2560, 10);
    let at = 178.0 / 5.0;
    let tone: Vec<f64> =
        (0..n).map(|k| SQRT_2 * (TAU * at * f64::from(k) / f64::from(n)).cos()).collect();
    let groups = HarmonicGroups::of(&tone, cycles, 40).unwrap();
    let count = f64::from(n);
    // Σ e^{jπ2 d k/N} = e^{jπ d (N−1)/N} sin(πd)/sin(πd/N), for the line and for its image.
    let line = |k: f64| {
        let sum = |d: f64| {
            let size = (PI * d).sin() / (PI * d / count).sin() / count;
            let turn = PI * d * (count - 1.0) / count;
            (size * turn.cos(), size * turn.sin())
        };
        let (direct, image) = (sum(at - k), sum(-at - k));
        (direct.0 + image.0).hypot(direct.1 + image.1)
    };
    for k in 20_u16..60 {
        let got = groups.line_rms_a(usize::from(k)).unwrap();
        assert_absolute(got, line(f64::from(k)), 1e-12, "rounding of the transform");
    }
    let inner: f64 = (31_u16..40).map(|k| line(f64::from(k)).powi(2)).sum();
    let got = groups.interharmonic_group_rms_a(3).unwrap();
    assert_absolute(got, inner.sqrt(), 1e-12, "rounding of the transform");
    assert!(got > 0.97 && got < 1.0, "most of the tone, and what leaks is missing: {got}");
}

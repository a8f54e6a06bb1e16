//! Periods, half cycles, windows and groups against numpy and scipy on a formula, and against the
//! expected numbers of the measured captures. Both take other ways than the program: dense integration
//! of the formula, and trapezoids over the samples themselves.

#![expect(clippy::unwrap_used, reason = "a helper of a test fails like the test itself")]

use std::f64::consts::{SQRT_2, TAU};
use std::path::{Path, PathBuf};

use loopcrest::capture::{
    ChannelOptions, HarmonicGroups, PeriodOptions, PeriodStart, PeriodTable, ReadOptions, Samples,
    read_file,
};
use serde_json::Value;

use crate::support::{assert_absolute, assert_relative};

const RATE_HZ: f64 = 6400.0;

/// The formula of `tests/reference/signals/periods.py`.
fn current(t: f64) -> f64 {
    let w = TAU * 50.0;
    let shape = (w * t + 0.3).sin()
        + 0.12 * (3.0 * w * t + 1.0).sin()
        + 0.05 * (5.0 * w * t - 0.7).sin()
        + 0.03 * (7.0 * w * t + 2.0).sin();
    let slow = 1.0 + 0.05 * (TAU * 3.0 * t).sin();
    6.6 * SQRT_2 * slow * shape + 0.2 * SQRT_2 * (TAU * 178.0 * t + 0.4).sin() + 0.1
}

fn numbers(value: &Value) -> Vec<f64> {
    value.as_array().unwrap().iter().map(|number| number.as_f64().unwrap()).collect()
}

fn from_first_sample(frequency_hz: f64) -> PeriodOptions {
    PeriodOptions {
        start: PeriodStart::FirstSample,
        frequency_hz: Some(frequency_hz),
        ..PeriodOptions::default()
    }
}

#[test]
fn cross_periods_and_groups_agree_with_scipy_on_a_formula() {
    let text = include_str!("../reference/signals/periods.json");
    let want: Value = serde_json::from_str(text).unwrap();
    let count = (0.5 * RATE_HZ) as usize + 1;
    let samples_a = (0..count).map(|k| current(k as f64 / RATE_HZ)).collect();
    let samples = Samples::new(samples_a, RATE_HZ).unwrap();
    let table = PeriodTable::of(&samples, &from_first_sample(50.0)).unwrap();
    // 128 samples a cycle of lines up to order 7: what the kernel leaves of the parts that are no
    // harmonics is -80 dB of them, and at the record's ends it has neighbours on one side only.
    let inner = "interpolation of what is no harmonic, 0.5 A, to -80 dB";
    let rms_a = numbers(&want["cycle_rms_a"]);
    for (k, row) in table.periods.iter().take(rms_a.len()).enumerate() {
        let measures = &row.measures;
        let at = |name: &str| want[name][k].as_f64().unwrap();
        assert_relative(measures.dc.rms_a, rms_a[k], 2e-5, inner);
        assert_absolute(measures.mean_a, at("cycle_mean_a"), 2e-4, inner);
        assert_relative(measures.ac.arv_a, at("cycle_arv_ac_a"), 1e-4, "(π/256)²/3 of the grid");
        assert_relative(measures.dc.peak_a, at("cycle_peak_a"), 5e-4, "256 points of order 7");
    }
    for (half, want_a) in table.half_cycles.iter().zip(numbers(&want["half_cycle_rms_a"])) {
        assert_relative(half.rms_a, want_a, 5e-5, inner);
    }
    for (window, want) in table.windows.iter().zip(want["windows"].as_array().unwrap()) {
        assert_relative(window.rms_a, want["rms_a"].as_f64().unwrap(), 1e-5, inner);
        let groups = &window.groups;
        type Group = fn(&HarmonicGroups, usize) -> Option<f64>;
        let lists: [(&str, Group, usize); 3] = [
            ("group_rms_a", HarmonicGroups::group_rms_a, 1),
            ("subgroup_rms_a", HarmonicGroups::subgroup_rms_a, 1),
            ("interharmonic_subgroup_rms_a", HarmonicGroups::interharmonic_subgroup_rms_a, 0),
        ];
        for (name, of, first) in lists {
            for (order, want_a) in (first..).zip(numbers(&want[name])) {
                let got_a = of(groups, order).unwrap();
                assert_absolute(got_a, want_a, 2e-4, "as above, and the ends of the record");
            }
        }
        let thd = want["subgroup_thd_ratio"].as_f64().unwrap();
        assert_absolute(groups.subgroup_thd_ratio().unwrap(), thd, 2e-5, inner);
    }
    assert_eq!(table.windows.len(), 2, "both windows were compared");
}

fn data() -> Option<PathBuf> {
    let beside = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../shared/data");
    std::env::var_os("LOOPCREST_DATA")
        .map(PathBuf::from)
        .into_iter()
        .chain([beside])
        .find(|folder| folder.is_dir())
}

/// A part of a measured record: file, expected numbers, its part, columns and rate for the reader.
struct Measured {
    file: &'static str,
    record: &'static str,
    part: &'static str,
    column: usize,
    rate_hz: Option<f64>,
}

const MEASURED: [Measured; 3] = [
    Measured {
        file: "dv11_sv_harm_2400rows.csv",
        record: "dv11",
        part: "Ia",
        column: 2,
        rate_hz: Some(4000.0),
    },
    Measured {
        file: "dv12_motor_3col_notime.csv",
        record: "dv12",
        part: "column 1",
        column: 1,
        rate_hz: Some(1000.0),
    },
    Measured {
        file: "dv13_power_50kHz_first4000.csv",
        record: "dv13",
        part: "MODAQ_Ia_I",
        column: 5,
        rate_hz: None,
    },
];

fn samples_of(folder: &Path, measured: &Measured) -> Samples {
    let reading = ReadOptions { sample_rate_hz: measured.rate_hz, ..ReadOptions::default() };
    let channel = ChannelOptions {
        column: measured.column.to_string().parse().unwrap(),
        unit: Some("A".to_owned()),
        ..ChannelOptions::default()
    };
    let record = read_file(folder.join("dev").join(measured.file), &reading).unwrap().value;
    record.current(&channel).unwrap().value
}

/// One-cycle RMS of consecutive periods, and groups of the first window, by the frequency that the
/// expected numbers were made with.
#[test]
fn cross_cycle_rms_and_groups_of_the_measured_captures() {
    let Some(folder) = data() else {
        eprintln!(
            "SKIPPED: no measured captures beside the project; one-cycle RMS was not checked"
        );
        return;
    };
    let mut windows = 0;
    for measured in &MEASURED {
        let file = folder.join(format!("expected/{}.json", measured.record));
        let text = std::fs::read_to_string(file).unwrap();
        let expected: Value = serde_json::from_str(&text).unwrap();
        let analysis = &expected["analysis"];
        let part = &analysis[measured.part];
        assert!(
            part.is_object(),
            "{} has {:?}",
            measured.record,
            analysis.as_object().unwrap().keys()
        );
        let samples = samples_of(&folder, measured);
        let period_samples = part["window"]["period_samples_P"].as_f64().unwrap();
        let frequency_hz = samples.sample_rate_hz() / period_samples;
        let table = PeriodTable::of(&samples, &from_first_sample(frequency_hz)).unwrap();
        let list = numbers(&part["cycle_rms_A"]);
        assert!(list.len() >= 3, "{}", measured.record);
        let rms_a = part["A"]["rms_total"].as_f64().unwrap();
        // A trapezoid over P samples errs by (π/P)²/3 of what the ends contribute; between samples
        // it also misses what lies above their half rate. The file's own tolerance for the whole
        // window grows with the square root of the periods in it.
        let cycles = part["window"]["cycles_M"].as_f64().unwrap();
        let whole = part["tolerance"]["rms_total"]["tol_any_window"].as_f64().unwrap();
        let tolerance =
            whole * cycles.sqrt() + rms_a * (std::f64::consts::PI / period_samples).powi(2);
        for (row, want_a) in table.periods.iter().zip(&list) {
            let why = "the file's tolerance for one period of its window, and the trapezoid's own";
            assert_absolute(row.measures.dc.rms_a, *want_a, tolerance, why);
        }
        let first = &part["iec61000_4_7_first_window"];
        if first.is_object() {
            windows += 1;
            let window = &table.windows[0];
            let cycles = first["cycles"].as_u64().unwrap() as usize;
            assert_eq!(window.cycles, cycles, "{}", measured.record);
            for (name, is_line) in [("first15_bins_rms", true), ("first15_subgroup_rms", false)] {
                for (order, want_a) in (1..).zip(numbers(&first[name])) {
                    let groups = &window.groups;
                    let got = if is_line {
                        groups.line_rms_a(order * cycles)
                    } else {
                        groups.subgroup_rms_a(order)
                    };
                    let Some(got_a) = got else { break };
                    // The trapezoid of the expected numbers lets lines droop by up to (π h/P)²/6.
                    let droop =
                        (std::f64::consts::PI * order as f64 / period_samples).powi(2) / 6.0;
                    // Its last interval ends between samples, where a straight line misses a sine by
                    // up to (2π/P)²/8: that goes to every line alike.
                    let bend = (std::f64::consts::TAU / period_samples).powi(2) / 8.0;
                    let end = 2.0 * rms_a * bend / (cycles as f64 * period_samples);
                    let tolerance = 2e-4 * rms_a + 2.0 * droop * want_a + end;
                    assert_absolute(
                        got_a,
                        want_a,
                        tolerance,
                        "2e-4 of the RMS, the droop of a trapezoid and its last interval",
                    );
                }
            }
        }
    }
    assert!(windows >= 1, "at least one expected window was compared");
}

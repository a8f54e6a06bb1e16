//! The command `loopcrest capture`, run on measured files, gives the expected numbers.
//!
//! Expected values and tolerances: `expected/*.json` beside the data (several independent algorithms,
//! described there), `tol_any_window`: the program chooses its own whole periods.

use std::path::PathBuf;
use std::process::Command;

use serde_json::Value;

/// File, record of expected values, part of it, options of the command, factor from amperes to the
/// expected unit.
type Row = (&'static str, &'static str, &'static str, &'static [&'static str], f64);

const ROWS: [Row; 19] = [
    ("dv08_kettle_scope_sideheader.csv", "dv08", "I", &[], 1.0),
    ("dv09_kettle_semicolon_comma.csv", "dv09", "I", &[], 1.0),
    ("dv09_kettle_semicolon_comma.csv", "dv09", "V", &["--column", "3", "--clamp", "1V/A"], 1.0),
    ("dv10_kettle_approx_time.csv", "dv10", "I", &[], 1.0),
    (
        "dv11_sv_harm_2400rows.csv",
        "dv11",
        "Ia",
        &["--column", "2", "--unit", "A", "--sample-rate", "4kHz"],
        1.0,
    ),
    (
        "dv11_sv_harm_2400rows.csv",
        "dv11",
        "Ic",
        &["--column", "4", "--unit", "A", "--sample-rate", "4kHz"],
        1.0,
    ),
    (
        "dv12_motor_3col_notime.csv",
        "dv12",
        "column 1",
        &["--column", "1", "--unit", "A", "--sample-rate", "1kHz"],
        1.0,
    ),
    (
        "dv12_motor_3col_notime.csv",
        "dv12",
        "column 3",
        &["--column", "3", "--unit", "A", "--sample-rate", "1kHz"],
        1.0,
    ),
    ("dv13_power_50kHz_first4000.csv", "dv13", "MODAQ_Ia_I", &[], 1.0),
    ("dv13_power_50kHz_first4000.csv", "dv13", "MODAQ_Ic_I", &["--column", "MODAQ_Ic_I"], 1.0),
    (
        "dv15_sim_rocof_singlecol.csv",
        "dv15",
        "first_0.4s",
        &["--unit", "A", "--sample-rate", "4kHz", "--to", "0.4s"],
        1.0,
    ),
    (
        "dv15_sim_rocof_singlecol.csv",
        "dv15",
        "last_0.4s",
        &["--unit", "A", "--sample-rate", "4kHz", "--from", "1.6s"],
        1.0,
    ),
    (
        "dv18_kettle_single_column_mA.txt",
        "dv18",
        "I",
        &["--unit", "mA", "--sample-rate", "2kHz"],
        1000.0,
    ),
    ("dv06_fridge_inrush_1999.cfg", "dv06", "I", &["--from", "1.15s"], 1.0),
    ("dv06_fridge_inrush_1999.dat", "dv06", "V", &["--column", "V", "--clamp", "1V/A"], 1.0),
    ("dv07_fridge_inrush_float32_2013.cfg", "dv07", "I", &["--from", "1.15s"], 1000.0),
    (
        "dv16_mains_400Hz_16bit_60s.wav",
        "dv16",
        "first_10s",
        &["--full-scale", "32768A", "--to", "10s"],
        1.0,
    ),
    (
        "dv17_fridge_24bit_stereo.wav",
        "dv17",
        "I",
        &["--column", "2", "--full-scale", "20A", "--from", "1.15s"],
        1.0,
    ),
    (
        "dv17_fridge_24bit_stereo.wav",
        "dv17",
        "V",
        &["--column", "1", "--full-scale", "500V", "--clamp", "1V/A"],
        1.0,
    ),
];

fn data() -> Option<PathBuf> {
    let beside = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../shared/data");
    std::env::var_os("LOOPCREST_DATA")
        .map(PathBuf::from)
        .into_iter()
        .chain([beside])
        .find(|folder| folder.is_dir())
}

fn read(folder: &std::path::Path, record: &str) -> Value {
    let text = std::fs::read_to_string(folder.join(format!("expected/{record}.json"))).unwrap();
    serde_json::from_str(&text).unwrap()
}

#[test]
fn cross_the_capture_command_gives_the_expected_numbers() {
    let Some(folder) = data() else {
        eprintln!("SKIPPED: no measured captures beside the project; the command was not checked");
        return;
    };
    let mut checked = 0;
    for (file, record, part, options, factor) in ROWS {
        let output = Command::new(env!("CARGO_BIN_EXE_loopcrest"))
            .arg("capture")
            .arg(folder.join("dev").join(file))
            .args(options)
            .arg("--json")
            .output()
            .unwrap();
        let error = String::from_utf8_lossy(&output.stderr).into_owned();
        assert!(output.status.success(), "{file} {part}: {error}");
        let got: Value = serde_json::from_slice(&output.stdout).unwrap();
        let expected = &read(&folder, record)["analysis"][part];
        let check = |name: &str, value: f64, allowance: f64| {
            let want = expected["A"][name].as_f64().unwrap();
            let tolerance = expected["tolerance"][name]["tol_any_window"].as_f64().unwrap();
            assert!(
                (value - want).abs() <= tolerance + allowance,
                "{file} {part}: {name} is {value}, expected {want} within {tolerance}"
            );
        };
        let measure = |name: &str| got["measures"][name].as_f64().unwrap();
        for (name, ours) in [
            ("rms_total", "rms_a"),
            ("rms_ac", "rms_ac_a"),
            ("mean", "mean_a"),
            ("rect_mean_ac", "arv_ac_a"),
            ("peak_abs", "peak_a"),
            ("peak_abs_ac", "peak_ac_a"),
            ("fundamental_rms", "fundamental_rms_a"),
        ] {
            check(name, factor * measure(ours), 0.0);
        }
        for name in ["crest_factor", "crest_factor_ac", "form_factor", "form_factor_ac"] {
            check(name, measure(name), 0.0);
        }
        let readings = got["readings"].as_array().unwrap();
        let average = readings.iter().find(|reading| reading["detector"] == "average").unwrap();
        check("avg_responding_reading", factor * average["shown_a"].as_f64().unwrap(), 0.0);
        // Stamps rounded to the millisecond: the file itself fixes the rate to 0.1 % only.
        let frequency_hz = got["periods"]["frequency_hz"].as_f64().unwrap();
        check("f1_hz", frequency_hz, if record == "dv10" { 1e-3 * frequency_hz } else { 0.0 });
        // The expected THD ends at an order of its own.
        let top = expected["harmonics"]["thd_hmax"].as_u64().unwrap();
        let square: f64 = got["measures"]["harmonics"]
            .as_array()
            .unwrap()
            .iter()
            .filter(|line| (2..=top).contains(&line["order"].as_u64().unwrap()))
            .map(|line| line["rms_a"].as_f64().unwrap().powi(2))
            .sum();
        check("thd_f", square.sqrt() / measure("fundamental_rms_a"), 0.0);
        checked += 1;
    }
    assert_eq!(checked, ROWS.len());
}

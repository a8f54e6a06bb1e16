//! The commands that solve the regulator, as a user meets them. The stored texts claim no truth; the
//! numbers behind them are held elsewhere.

use std::process::Output;

use crate::support::program::{run, text};

fn json(output: &Output) -> serde_json::Value {
    serde_json::from_slice(&output.stdout).unwrap()
}

/// The reference row at half load and 2.8 A stands in `cross_`; here the command must show the same
/// numbers in table and JSON.
#[test]
fn pinned_operate_shows_one_point() {
    let place = tempfile::tempdir().unwrap();
    let output = run(place.path(), &["operate", "--step", "1", "--load", "50%"]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    let table = text(&output.stdout);
    let document = json(&run(place.path(), &["operate", "--step", "1", "--load", "50%", "--json"]));
    assert_eq!(document["kind"], "operating");
    assert_eq!(document["held"], true);
    assert_eq!(document["solution"]["stability"], "stable");
    let delay_deg = document["delay_deg"].as_f64().unwrap();
    assert!(table.contains(&format!("firing delay {delay_deg:.3}°")), "{table}");
    let crest = document["measures"]["crest_factor"].as_f64().unwrap();
    assert!(table.contains(&format!("crest factor {crest:.4}")), "{table}");
    let capacitor = document["branches"]
        .as_array()
        .unwrap()
        .iter()
        .find(|branch| branch["name"] == "capacitor")
        .unwrap();
    let peak_v = capacitor["voltage_peak_v"].as_f64().unwrap();
    assert!(table.contains(&format!("{peak_v:.1}")), "{table}");
    assert!(std::fs::read_dir(place.path()).unwrap().next().is_none(), "no folder unasked");
}

#[test]
fn pinned_operate_out_of_reach_says_what_can_be_held_and_ends_with_1() {
    let place = tempfile::tempdir().unwrap();
    let output = run(place.path(), &["operate", "--rms", "9A", "--json"]);
    assert_eq!(output.status.code(), Some(1));
    let document = json(&output);
    assert_eq!(document["held"], false);
    assert_eq!(document["limit"], "highest");
    let limit_a = document["limit_a"].as_f64().unwrap();
    let shown_a = document["measures"]["rms_a"].as_f64().unwrap();
    assert!(limit_a > 6.6 && limit_a < 9.0, "{limit_a}");
    assert!((limit_a - shown_a).abs() < 1e-6, "the point shown is the limit: {shown_a}");
}

#[test]
fn pinned_operate_writes_figures_and_branches() {
    let place = tempfile::tempdir().unwrap();
    let output = run(place.path(), &["operate", "--step", "3", "--out", "point"]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    let folder = place.path().join("point");
    for name in ["branches.svg", "branches.png", "phase-portrait.svg", "operating.json"] {
        assert!(folder.join(name).is_file(), "{name}");
    }
    let csv = std::fs::read_to_string(folder.join("branches.csv")).unwrap();
    let header: Vec<&str> = csv.lines().next().unwrap().split(',').collect();
    assert_eq!(header[0], "time_s");
    let output_a = header.iter().position(|name| *name == "load_current_a").unwrap();
    let square: f64 = csv
        .lines()
        .skip(1)
        .map(|line| line.split(',').nth(output_a).unwrap().parse::<f64>().unwrap().powi(2))
        .sum();
    let rms_a = (square / csv.lines().skip(1).count() as f64).sqrt();
    assert!((rms_a - 4.1).abs() < 1e-5, "six decimals are written: {rms_a}");
}

#[test]
fn pinned_loads_and_contrast() {
    let place = tempfile::tempdir().unwrap();
    let arguments = ["loads", "--load", "2%", "--load", "100%", "--json"];
    let document = json(&run(place.path(), &arguments));
    assert_eq!(document["cells"].as_array().unwrap().len(), 10);
    // The sign of the average meter's error changes between the short and the full load, at every
    // step (the reference rows in `cross_` hold the numbers).
    for cell in document["cells"].as_array().unwrap() {
        let error = cell["average_error_ratio"].as_f64().unwrap();
        let shorted = cell["load_ratio"].as_f64().unwrap() < 0.5;
        assert_eq!(error < 0.0, shorted, "{cell}");
    }
    let document = json(&run(place.path(), &["contrast", "--step", "3", "--json"]));
    let crest = |at: usize| document["sources"][at]["measures"]["crest_factor"].as_f64().unwrap();
    assert_eq!(document["sources"][1]["source"], "phase-cut");
    assert!(crest(1) > crest(0) && crest(0) > crest(2), "phase-cut, resonant, sine");
}

/// A control that senses the average lets the true current fall as the shape gets flatter.
#[test]
fn pinned_loads_show_by_how_much_an_average_control_shifts() {
    let place = tempfile::tempdir().unwrap();
    let arguments = ["loads", "--load", "2%", "--load", "100%", "--sense", "average", "--json"];
    let document = json(&run(place.path(), &arguments));
    for cell in document["cells"].as_array().unwrap() {
        let nominal_a = cell["nominal_rms_a"].as_f64().unwrap();
        let now_a = cell["true_rms_after_setting_a"].as_f64().unwrap();
        let change = now_a / nominal_a - 1.0;
        if cell["load_ratio"].as_f64().unwrap() < 0.5 {
            assert!(change.abs() < 1e-6, "set at this load: {cell}");
        } else {
            assert!(change < -0.003, "the same average of a flatter current: {cell}");
        }
    }
}

#[test]
fn pinned_transient_needs_something_to_happen() {
    let place = tempfile::tempdir().unwrap();
    let output = run(place.path(), &["transient"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(text(&output.stderr).contains("--then-step"));
    let arguments =
        ["transient", "--step", "3", "--then-step", "5", "--load", "50%", "--out", "run"];
    let output = run(place.path(), &arguments);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    let folder = place.path().join("run");
    let document: serde_json::Value =
        serde_json::from_slice(&std::fs::read(folder.join("transient.json")).unwrap()).unwrap();
    assert!(document["settled_after_s"].as_f64().unwrap() < 0.5);
    // 2 s of 60 Hz are 240 half cycles; the one that begins within rounding of the end still counts.
    let half_cycles = document["half_cycles"].as_array().unwrap().len();
    assert!((240..=241).contains(&half_cycles), "{half_cycles}");
    let rows = std::fs::read_to_string(folder.join("half-cycles.csv")).unwrap();
    assert_eq!(rows.lines().count(), half_cycles + 1);
}

#[test]
fn pinned_a_description_without_regulator_is_told_so() {
    let place = tempfile::tempdir().unwrap();
    let drawn = "format = 1\ntitle = \"bench\"\ninvented = true\n[steps]\ncircuit = \"6.6A-5-step\"\n\
                 [current]\nshape = \"sine\"\n[[meter]]\nname = \"clamp\"\ndetector = \"average\"\n";
    std::fs::write(place.path().join("drawn.toml"), drawn).unwrap();
    for command in ["operate", "loads", "contrast", "transient"] {
        let output = run(place.path(), &[command, "drawn.toml"]);
        assert_eq!(output.status.code(), Some(2), "{command}");
        assert!(text(&output.stderr).contains("no [regulator]"), "{command}");
    }
}

/// At half load on the lowest step an asymmetric state coexists with the held one; over the firing
/// delay its branch turns back near 118 degrees (see `physics_a_stable_asymmetric_state_coexists...`).
#[test]
fn pinned_follow_finds_the_fold_of_the_other_solution() {
    let place = tempfile::tempdir().unwrap();
    let arguments = [
        "follow", "--step", "1", "--load", "50%", "--along", "delay", "--to", "140deg", "--others",
        "8", "--json",
    ];
    let output = run(place.path(), &arguments);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    let document = json(&output);
    let branches = document["branches"].as_array().unwrap();
    assert!(branches.len() > 1, "others are found");
    assert!(branches[0]["folds"].as_array().unwrap().is_empty(), "the held one has no fold");
    let folds: Vec<f64> = branches[1..]
        .iter()
        .flat_map(|branch| branch["folds"].as_array().unwrap())
        .map(|fold| fold.as_f64().unwrap())
        .collect();
    assert!(folds.iter().any(|fold| (fold - 118.0).abs() < 0.6), "{folds:?}");
    let output = run(place.path(), &["follow", "--along", "load", "--to", "90deg"]);
    assert_eq!(output.status.code(), Some(2));
}

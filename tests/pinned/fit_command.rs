//! `loopcrest fit` as a user meets it; the numbers behind it are held in `law_`.

use std::fmt::Write;
use std::path::Path;

use loopcrest::identify::Parameter;

use crate::support::captures::{moved, record};
use crate::support::program::{run, text};

pub(super) fn write_capture(file: &Path, rms_a: f64, load: f64, seed: u64) {
    let truth = moved(&[(Parameter::CapacitorReactance, 1.04), (Parameter::OutputReactance, 1.06)]);
    let waveform = record(&truth, rms_a, load, 0.002, seed);
    let mut csv = String::from("time (s),current (A)\n");
    for (k, i_a) in waveform.samples_a().iter().enumerate() {
        let _ = writeln!(csv, "{:.9},{i_a:.6}", waveform.time_s(k));
    }
    std::fs::write(file, csv).unwrap();
}

fn captures(folder: &Path) {
    for (name, rms_a, load, seed) in
        [("short.csv", 6.6, 0.02, 1), ("field.csv", 4.1, 0.6, 2), ("held.csv", 5.2, 0.6, 3)]
    {
        write_capture(&folder.join(name), rms_a, load, seed);
    }
}

const FIT: [&str; 5] = [
    "fit",
    "--capture=short.csv@step=5,load=2%",
    "--capture=field.csv@step=3,load=60%",
    "--hold-out=held.csv@step=4,load=60%",
    "--free=capacitor-reactance,output-reactance",
];

#[test]
fn pinned_fit_writes_a_description_that_the_other_commands_accept() {
    let place = tempfile::tempdir().unwrap();
    captures(place.path());
    let arguments = [&FIT[..], &["--write", "fitted.toml", "--out", "fit"]].concat();
    let output = run(place.path(), &arguments);
    assert_eq!(output.status.code(), Some(0), "{}{}", text(&output.stdout), text(&output.stderr));
    let said = text(&output.stdout);
    assert!(said.contains("EXPLAINED") && said.contains("Captures held out"), "{said}");
    for name in ["fit-1.svg", "fit-1.png", "fit-3.svg", "fit.json", "period-3.csv"] {
        assert!(place.path().join("fit").join(name).is_file(), "{name}");
    }
    let json = std::fs::read(place.path().join("fit/fit.json")).unwrap();
    let document: serde_json::Value = serde_json::from_slice(&json).unwrap();
    assert_eq!(document["kind"], "fit");
    assert_eq!(document["answer"], "explained");
    let capacitor = &document["estimates"][0];
    // 1.04 times the generic 230 ohm; the interval has 95 %, so ten standard uncertainties never.
    let off = capacitor["value"].as_f64().unwrap() - 1.04 * 230.0;
    assert!(off.abs() < 10.0 * capacitor["standard_uncertainty"].as_f64().unwrap(), "{capacitor}");
    assert_eq!(document["captures"][0]["placement"], "inside");
    for command in ["operate", "loads", "judge"] {
        let mut arguments = vec![command, "fitted.toml"];
        if command == "judge" {
            arguments.push("--no-folder");
        }
        let output = run(place.path(), &arguments);
        assert_eq!(output.status.code(), Some(0), "{command}: {}", text(&output.stderr));
    }
    let again = run(place.path(), &[&FIT[..], &["--write", "fitted.toml"]].concat());
    assert_eq!(again.status.code(), Some(4), "an existing file is kept: {}", text(&again.stderr));
}

#[test]
fn pinned_fit_ends_with_1_when_the_answer_is_not_yes() {
    let place = tempfile::tempdir().unwrap();
    captures(place.path());
    let arguments = ["fit", FIT[1], "--free", "iron-linear,iron-power,iron-knee"];
    let output = run(place.path(), &arguments);
    assert_eq!(output.status.code(), Some(1), "{}", text(&output.stderr));
    assert!(text(&output.stdout).contains("NOT TOLD"), "{}", text(&output.stdout));
}

#[test]
fn pinned_fit_names_what_is_wrong_with_its_arguments() {
    let place = tempfile::tempdir().unwrap();
    captures(place.path());
    for (arguments, part) in [
        (vec!["fit", FIT[1], "--free", "capacitor-reactanc"], "capacitor-reactance"),
        (vec!["fit", "--capture", "short.csv@lod=2%", "--free", "source"], "load"),
        (vec!["fit", "--capture", "short.csv@step=9,load=2%", "--free", "source"], "--step 9"),
        (vec!["fit", "--capture", "short.csv@load=900%", "--free", "source"], "allowed is"),
        (vec!["fit", FIT[1], "--free", "source", "--highest-order", "1"], "highest harmonic order"),
    ] {
        let output = run(place.path(), &arguments);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}: {}", text(&output.stdout));
        assert!(text(&output.stderr).contains(part), "{arguments:?}: {}", text(&output.stderr));
    }
}

//! The commands that read whole records and folders of them, as a user meets them.

use std::f64::consts::{SQRT_2, TAU};
use std::fmt::Write as _;
use std::path::Path;
use std::process::Output;

use parquet::file::reader::{FileReader, SerializedFileReader};
use parquet::record::RowAccessor;
use serde_json::Value;

use crate::support::program::{run, text};

fn json(output: &Output) -> Value {
    serde_json::from_slice(&output.stdout).unwrap_or_else(|_| panic!("{}", text(&output.stderr)))
}

/// Five seconds at 4 kHz: 5.2 A, from 2 s on 6.6 A, with 5 % of a third harmonic.
fn write_step(file: &Path) {
    let mut record = String::from("t (s),I (A)\n");
    for k in 0..20_000 {
        let t = f64::from(k) / 4000.0;
        let level = if t < 2.0 { 5.2 } else { 6.6 };
        let turn = TAU * 50.0 * t;
        let i_a = level * SQRT_2 * (turn.sin() + 0.05 * (3.0 * turn).sin());
        let _ = writeln!(record, "{t:.5},{i_a:.6}");
    }
    std::fs::write(file, record).unwrap();
}

#[test]
fn pinned_record_shows_text_and_json_alike() {
    let place = tempfile::tempdir().unwrap();
    write_step(&place.path().join("night.csv"));
    let arguments = ["record", "night.csv", "--clamp-accuracy", "1%", "--step", "5"];
    let output = run(place.path(), &arguments);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    assert!(output.stderr.is_empty(), "no progress where there is no terminal");
    let table = text(&output.stdout);
    let document = json(&run(place.path(), &[&arguments[..], &["--json"]].concat()));
    assert_eq!(document["kind"], "record");
    let rms_a = document["steady"]["rms_a"].as_f64().unwrap();
    // Closed form: 6.6 √(1 + 0.05²).
    assert!((rms_a / (6.6 * 1.0025_f64.sqrt()) - 1.0).abs() < 1e-5, "{rms_a}");
    assert!(table.contains(&format!("{rms_a:.3} A")), "{table}");
    assert_eq!(document["step"]["number"], 5);
    assert_eq!(document["step"]["placement"], "inside");
    // 1 % evenly spread: 0.577 %; two times that.
    let expanded = document["uncertainty"]["expanded_ratio"].as_f64().unwrap();
    assert!((expanded - 0.02 / 3.0_f64.sqrt()).abs() < 1e-4, "{expanded}");
    let events = document["events"].as_array().unwrap();
    assert_eq!(events.len(), 1, "{events:?}");
    assert_eq!(events[0]["kind"], "step-change");
    assert!(
        (events[0]["start_s"].as_f64().unwrap() - 2.0).abs() < 0.0125,
        "half a period and more"
    );
    assert!(table.contains("from 5.206 A to 6.608 A"), "{table}");
    let thd = document["subgroup_thd_ratio"].as_f64().unwrap();
    assert!((thd - 0.05).abs() < 1e-4, "{thd}");
    assert!(table.lines().all(|line| line.chars().count() <= 80), "{table}");
}

#[test]
fn pinned_record_against_a_step_it_misses_ends_with_1() {
    let place = tempfile::tempdir().unwrap();
    write_step(&place.path().join("night.csv"));
    let output = run(place.path(), &["record", "night.csv", "--step", "4"]);
    assert_eq!(output.status.code(), Some(1));
    assert!(text(&output.stdout).contains("HIGH"), "{}", text(&output.stdout));
}

#[test]
fn pinned_record_judges_the_meters_of_a_description() {
    let place = tempfile::tempdir().unwrap();
    write_step(&place.path().join("night.csv"));
    assert_eq!(run(place.path(), &["starter", "bench.toml"]).status.code(), Some(0));
    let output = run(place.path(), &["record", "night.csv", "--meters", "bench.toml", "--json"]);
    let document = json(&output);
    let meters = document["meters"].as_array().unwrap();
    assert!(meters.len() >= 2, "{meters:?}");
    let true_rms = meters.iter().find(|meter| meter["detector"] == "true-rms").unwrap();
    assert!(true_rms["error_ratio"].as_f64().unwrap().abs() < 1e-6, "{true_rms}");
    let average = meters.iter().find(|meter| meter["detector"] == "average").unwrap();
    // Closed form: the rectified mean of sin + r sin 3 is (2/π)(1 + r/3).
    let want = (1.0 + 0.05 / 3.0) / 1.0025_f64.sqrt() - 1.0;
    let error = average["error_ratio"].as_f64().unwrap();
    assert!((error - want).abs() < 1e-4, "{error} {want}");
}

#[test]
fn pinned_record_writes_series_and_figures() {
    let place = tempfile::tempdir().unwrap();
    write_step(&place.path().join("night.csv"));
    let arguments = [
        "record",
        "night.csv",
        "--series",
        "rms.parquet",
        "--half-cycles",
        "half.csv",
        "--windows",
        "windows.csv",
        "--out",
        "night",
        "--json",
    ];
    let output = run(place.path(), &arguments);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    let document = json(&output);
    for name in ["record", "averaged-period", "rms", "spectrum"] {
        for end in ["svg", "png"] {
            assert!(place.path().join(format!("night/{name}.{end}")).is_file(), "{name}.{end}");
        }
    }
    let file = std::fs::File::open(place.path().join("rms.parquet")).unwrap();
    let reader = SerializedFileReader::new(file).unwrap();
    let rows: Vec<_> = reader.get_row_iter(None).unwrap().map(Result::unwrap).collect();
    assert_eq!(rows.len() as u64, document["periods"].as_u64().unwrap());
    let columns: Vec<_> = reader
        .metadata()
        .file_metadata()
        .schema_descr()
        .columns()
        .iter()
        .map(|column| column.name().to_owned())
        .collect();
    let rms = columns.iter().position(|name| name == "rms_a").unwrap();
    assert!((rows[10].get_double(rms).unwrap() / (5.2 * 1.0025_f64.sqrt()) - 1.0).abs() < 1e-5);
    let half = std::fs::read_to_string(place.path().join("half.csv")).unwrap();
    assert_eq!(half.lines().next(), Some("start_s,rms_a,peak_a"));
    assert_eq!(half.lines().count(), 1 + 2 * rows.len() - 1, "one between every two half cycles");
    let windows = std::fs::read_to_string(place.path().join("windows.csv")).unwrap();
    assert_eq!(windows.lines().count() as u64, 1 + document["windows"].as_u64().unwrap());
    // What is there stays.
    let again = run(place.path(), &["record", "night.csv", "--half-cycles", "half.csv"]);
    assert_eq!(again.status.code(), Some(4));
    let other = run(place.path(), &["record", "night.csv", "--series", "rms.xlsx"]);
    assert_eq!(other.status.code(), Some(2));
    assert!(text(&other.stderr).contains(".parquet"), "{}", text(&other.stderr));
}

#[test]
fn pinned_captures_names_what_it_skips_and_finishes_the_rest() {
    let place = tempfile::tempdir().unwrap();
    let folder = place.path().join("vault");
    std::fs::create_dir(&folder).unwrap();
    write_step(&folder.join("b.csv"));
    write_step(&folder.join("d.csv"));
    std::fs::write(folder.join("a-broken.csv"), "t (s),I (A)\n").unwrap();
    std::fs::write(folder.join("c-picture.csv"), b"\x89PNG\r\n\x1a\n").unwrap();
    let output = run(place.path(), &["captures", "vault"]);
    assert_eq!(output.status.code(), Some(5), "{}", text(&output.stderr));
    let table = text(&output.stdout);
    assert!(table.contains("2 records read, 2 files skipped"), "{table}");
    for name in ["a-broken.csv: ", "c-picture.csv: ", "b.csv", "d.csv", "step-change"] {
        assert!(table.contains(name), "{name}: {table}");
    }
    let document = json(&run(place.path(), &["captures", "vault", "--json"]));
    assert_eq!(document["kind"], "captures");
    let files: Vec<_> =
        document["records"].as_array().unwrap().iter().map(|row| row["file"].clone()).collect();
    assert_eq!(files, ["b.csv", "d.csv"], "in the order of their names");
    assert_eq!(document["records"][0]["likely_step"], 5);
    assert_eq!(document["records"][0]["placement"], "inside");
    assert!(document["failed"][0]["reason"].as_str().is_some_and(|reason| !reason.is_empty()));
    std::fs::remove_file(folder.join("a-broken.csv")).unwrap();
    std::fs::remove_file(folder.join("c-picture.csv")).unwrap();
    assert_eq!(run(place.path(), &["captures", "vault"]).status.code(), Some(0));
    assert_eq!(run(place.path(), &["captures", "nowhere"]).status.code(), Some(4));
}

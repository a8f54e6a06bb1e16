//! The commands about real meters, as a user meets them. What is stored claims no truth; the numbers
//! behind it are held elsewhere.

use std::path::Path;
use std::process::{Command, Output};

fn run(folder: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_loopcrest"))
        .args(arguments)
        .current_dir(folder)
        .env("NO_COLOR", "1")
        .output()
        .unwrap()
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

fn json(folder: &Path, arguments: &[&str]) -> serde_json::Value {
    let output = run(folder, &[arguments, &["--json"]].concat());
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    serde_json::from_slice(&output.stdout).unwrap()
}

#[test]
fn pinned_reading_shows_the_same_numbers_in_table_and_json() {
    let place = tempfile::tempdir().unwrap();
    let arguments = ["reading", "--meter", "average-responding-clamp", "--step", "1"];
    let table = text(&run(place.path(), &arguments).stdout);
    let document = json(place.path(), &arguments);
    assert_eq!(document["kind"], "meter-reading");
    let shown_a = document["shown_a"].as_f64().unwrap();
    assert!(table.contains(&format!("shows {shown_a:.3} A")), "{table}");
    let causes = document["causes"].as_array().unwrap();
    assert_eq!(causes.len(), 8);
    let sum_a: f64 = causes.iter().map(|cause| cause["error_a"].as_f64().unwrap()).sum();
    let error_a = document["error_a"].as_f64().unwrap();
    assert!((sum_a - error_a).abs() < 1e-12, "{sum_a} and {error_a}");
    // The reference rows in `cross_` hold the law's error near the short: 2.3 to 2.8 % low.
    let law = causes[0]["error_ratio"].as_f64().unwrap();
    assert_eq!(causes[0]["cause"], "detector-law");
    assert!((-0.028..-0.023).contains(&law), "{law}");
    assert!(table.contains(&format!("{:+.2}", 100.0 * law)), "{table}");
    assert!(std::fs::read_dir(place.path()).unwrap().next().is_none(), "no folder unasked");
}

#[test]
fn pinned_reading_takes_the_sheet_of_the_description() {
    let place = tempfile::tempdir().unwrap();
    let sheet = text(&run(place.path(), &["meters", "general-true-rms-clamp"]).stdout);
    let head = "format = 1\ntitle = \"bench\"\ninvented = true\n[steps]\ncircuit = \"6.6A-5-step\"\n\
                [current.shape.pulse]\nduty = \"10 %\"\n\n";
    // A crest factor of 3.2 on a range that takes 1.5 at full scale.
    let sheet = sheet.replace("at-full-scale = 3.0", "at-full-scale = 1.5");
    std::fs::write(place.path().join("bench.toml"), format!("{head}{sheet}")).unwrap();
    let document = json(place.path(), &["reading", "bench.toml"]);
    assert_eq!(document["meter"], "general true-RMS clamp");
    let codes: Vec<&str> = document["notes"]
        .as_array()
        .unwrap()
        .iter()
        .map(|note| note["code"].as_str().unwrap())
        .collect();
    assert!(codes.contains(&"clipped"), "{codes:?}");
    let table = text(&run(place.path(), &["reading", "bench.toml"]).stdout);
    assert!(table.contains("the peaks are clipped"), "{table}");
}

#[test]
fn pinned_reading_writes_its_figure_and_refuses_unknown_names() {
    let place = tempfile::tempdir().unwrap();
    let arguments = ["reading", "--meter", "moving-iron-panel", "--load", "60%", "--out", "why"];
    let output = run(place.path(), &arguments);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    for name in ["causes.svg", "causes.png", "reading.json"] {
        assert!(place.path().join("why").join(name).is_file(), "{name}");
    }
    let output = run(place.path(), &["reading", "--meter", "moving-iron-panle"]);
    assert_eq!(output.status.code(), Some(2));
    let said = text(&output.stderr);
    assert!(said.contains("did you mean \"moving-iron-panel\"?"), "{said}");
    let output = run(place.path(), &["reading", "--step", "9"]);
    assert_eq!(output.status.code(), Some(2));
}

#[test]
fn pinned_meters_lists_sheets_and_prints_one() {
    let place = tempfile::tempdir().unwrap();
    let document = json(place.path(), &["meters"]);
    let kinds = document["archetypes"].as_array().unwrap();
    assert_eq!(kinds.len(), 8);
    let table = text(&run(place.path(), &["meters"]).stdout);
    for kind in kinds {
        let key = kind["key"].as_str().unwrap();
        assert!(table.contains(key), "{table}");
        let printed = text(&run(place.path(), &["meters", key]).stdout);
        assert!(printed.contains("Invented"), "{printed}");
        assert!(printed.ends_with(kind["toml"].as_str().unwrap()), "{printed}");
    }
    assert!(table.lines().all(|line| line.chars().count() <= 80), "{table}");
}

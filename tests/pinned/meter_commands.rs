//! The commands about real meters, as a user meets them. What is stored claims no truth; the numbers
//! behind it are held elsewhere.

use std::path::Path;

use crate::support::program::{run, text};

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

/// A 2 % meter cannot prove a band of ±2.9 % with 95 %: the verdict says so with its numbers.
#[test]
fn pinned_fitness_shows_verdicts_with_their_reasons() {
    let place = tempfile::tempdir().unwrap();
    let arguments = [
        "fitness",
        "--meter",
        "precision-true-rms-clamp",
        "--meter",
        "general-true-rms-clamp",
        "--step",
        "1",
    ];
    let table = text(&run(place.path(), &arguments).stdout);
    let document = json(place.path(), &arguments);
    let verdicts = document["verdicts"].as_array().unwrap();
    assert_eq!(verdicts.len(), 4, "two meters, shorted and loaded");
    assert_eq!(verdicts[0]["verdict"], "fit");
    assert_eq!(verdicts[2]["verdict"], "not-fit");
    let low_a = verdicts[0]["set_band"]["low_a"].as_f64().unwrap();
    assert!(low_a > 2.72 && table.contains(&format!("{low_a} to")), "{table}");
    let reason = verdicts[2]["reasons"][0].as_str().unwrap();
    assert!(reason.contains("cannot prove a band of ±2.9 % even reading dead centre"), "{reason}");
    let status = |extra: &[&str]| run(place.path(), &[&arguments, extra].concat()).status.code();
    assert_eq!(status(&["--require"]), Some(1));
    assert_eq!(status(&["--probability", "30%"]), Some(2));
    assert_eq!(status(&["--today", "1.3.2026"]), Some(2));
}

#[test]
fn pinned_budget_prints_both_methods() {
    let place = tempfile::tempdir().unwrap();
    let arguments = ["budget", "--meter", "general-true-rms-clamp", "--step", "1"];
    let document = json(place.path(), &arguments);
    let table = text(&run(place.path(), &arguments).stdout);
    let combined_a = document["combined_a"].as_f64().unwrap();
    let rows = document["rows"].as_array().unwrap();
    let square: f64 = rows.iter().map(|row| row["contribution_a"].as_f64().unwrap().powi(2)).sum();
    assert!((square.sqrt() - combined_a).abs() < 1e-9, "independent parts add in squares");
    assert!(table.contains(&format!("u = {combined_a:.4} A")), "{table}");
    let by_trials_a = document["trials"]["standard_uncertainty_a"].as_f64().unwrap();
    // 200000 trials know a standard uncertainty to about 1/√(2 · 200000) = 0.16 %; six of those.
    assert!((by_trials_a / combined_a - 1.0).abs() < 0.01, "{by_trials_a} and {combined_a}");
    let output = run(place.path(), &["budget", "--meter", "general-true-rms-clamp", "--step", "9"]);
    assert_eq!(output.status.code(), Some(2));
}

/// Readings repeated: one more line of type A, the mean shown, and a decision with both rules.
#[test]
fn pinned_budget_takes_repeated_readings_and_decides() {
    let place = tempfile::tempdir().unwrap();
    let arguments = ["budget", "--repeats", "6.58,6.60,6.59", "--prior", "1%"];
    let document = json(place.path(), &arguments);
    // Mean 6.59; s = 0.01, of the mean 0.01/√3.
    assert!((document["shown_a"].as_f64().unwrap() - 6.59).abs() < 1e-12, "{document}");
    let rows = document["rows"].as_array().unwrap();
    let repeated: Vec<_> = rows.iter().filter(|row| row["evaluation"] == "A").collect();
    assert_eq!(repeated.len(), 1);
    assert_eq!(repeated[0]["degrees_of_freedom"], 2.0);
    let u_a = repeated[0]["standard_uncertainty"].as_f64().unwrap();
    assert!((u_a - 0.01 / 3.0_f64.sqrt()).abs() < 1e-9, "{u_a}");
    let decision = &document["decision"];
    assert!((decision["prior_standard_deviation_a"].as_f64().unwrap() - 0.066).abs() < 1e-12);
    assert_eq!(decision["rules"].as_array().unwrap().len(), 2);
    let output = run(place.path(), &arguments);
    let table = text(&output.stdout);
    for said in ["simple acceptance", "guard band of 1 U", "nothing", "Test uncertainty ratio"] {
        assert!(table.contains(said), "{said}: {table}");
    }
    assert!(table.lines().all(|line| line.chars().count() <= 80), "{table}");
    let status = |arguments: &[&str]| run(place.path(), arguments).status.code();
    assert_eq!(status(&["budget", "--repeats", "6.6"]), Some(2), "one reading scatters nowhere");
    assert_eq!(status(&["budget", "--prior", "0%"]), Some(2));
}

/// What a number on the display means, with the warning where the law is the wrong one.
#[test]
fn pinned_fitness_says_what_a_display_means() {
    let place = tempfile::tempdir().unwrap();
    let arguments = [
        "fitness",
        "--meter",
        "precision-true-rms-clamp",
        "--meter",
        "average-responding-clamp",
        "--step",
        "5",
        "--shown",
        "6.55A",
    ];
    let document = json(place.path(), &arguments);
    let verdicts = document["verdicts"].as_array().unwrap();
    let true_a = verdicts[0]["shown"]["true_rms_a"].as_f64().unwrap();
    assert!((true_a - 6.55).abs() < 0.02, "within its accuracy: {true_a}");
    assert!(verdicts[0]["test_uncertainty_ratio"].as_f64().unwrap() > 4.0);
    let table = text(&run(place.path(), &arguments).stdout);
    let words: Vec<&str> = table.split_whitespace().collect();
    let flowing = words.join(" ");
    assert!(flowing.contains("6.550 A on the display means"), "{table}");
    assert!(flowing.contains("no substitute for a true-RMS instrument"), "{table}");
    assert!(flowing.contains("Switch off, lock out and prove dead"), "{table}");
    assert!(table.lines().all(|line| line.chars().count() <= 80), "{table}");
    let alone = run(place.path(), &["fitness", "--shown", "6.55A"]);
    assert_eq!(alone.status.code(), Some(2), "a number shown belongs to a step");
    let wild = run(place.path(), &["fitness", "--step", "5", "--lamps-out", "150%"]);
    assert_eq!(wild.status.code(), Some(2));
}

#[test]
fn pinned_requirement_and_comparison() {
    let place = tempfile::tempdir().unwrap();
    let document = json(place.path(), &["requirement"]);
    assert!(document["demands"][0].as_str().unwrap().starts_with("Measures true RMS"));
    let verdicts = document["verdicts"].as_array().unwrap();
    assert!(verdicts.iter().all(|verdict| verdict["verdict"] == "fit"), "{verdicts:?}");
    let arguments = ["compare", "--out", "map"];
    let document = json(place.path(), &arguments);
    assert_eq!(document["meters"].as_array().unwrap().len(), 8);
    assert_eq!(document["cells"].as_array().unwrap().len(), 80);
    assert!(place.path().join("map").join("comparison.svg").is_file());
}

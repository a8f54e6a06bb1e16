//! The commands of the field, as a user meets them. The stored texts claim no truth; the numbers behind
//! them are held elsewhere.

use std::process::Output;

use crate::support::program::{run, text};

fn json(output: &Output) -> serde_json::Value {
    assert!(output.stderr.is_empty(), "{}", text(&output.stderr));
    serde_json::from_slice(&output.stdout).unwrap()
}

/// The printed text of a run against the stored one.
fn pinned(name: &str, output: &Output) {
    let printed = text(&output.stdout);
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/pinned/printed")
        .join(format!("{name}.txt"));
    if std::env::var_os("LOOPCREST_STORE").is_some() {
        std::fs::write(&path, &printed).unwrap();
    }
    let stored = std::fs::read_to_string(&path).unwrap();
    assert!(printed == stored, "{name}.txt has moved; now:\n{printed}");
    assert!(printed.lines().all(|line| line.chars().count() <= 80), "a line is too long");
}

#[test]
fn pinned_field_of_the_example() {
    let place = tempfile::tempdir().unwrap();
    let output = run(place.path(), &["field"]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    pinned("field", &output);
    let document = json(&run(place.path(), &["field", "--json"]));
    assert_eq!(document["kind"], "field");
    assert_eq!(document["steps"].as_array().unwrap().len(), 5);
    let crest = document["steps"][4]["solved"]["crest_factor"].as_f64().unwrap();
    assert!(text(&output.stdout).contains(&format!("{crest:.4}")), "table and JSON agree");
    assert!(document["load"]["phasor_va"].as_f64() <= document["load"]["apparent_va"].as_f64());
    assert!(std::fs::read_dir(place.path()).unwrap().next().is_none(), "no folder unasked");
}

/// A reading is judged against the calculated load: 5.975 kVA in the example.
#[test]
fn pinned_field_says_what_a_reading_means() {
    let place = tempfile::tempdir().unwrap();
    for (current, voltage, diagnosis, code) in [
        ("6.52A", "920V", "satisfactory", 0),
        ("6.52A", "600", "partial-short", 1),
        ("6.52", "1200 V", "more-than-calculated", 1),
        ("6.30A", "900V", "regulator-low", 1),
        ("6.9A", "900V", "regulator-high", 1),
        ("6.30A", "1.8kV", "overloaded", 1),
    ] {
        let arguments = ["field", "--measured", current, voltage, "--json"];
        let output = run(place.path(), &arguments);
        assert_eq!(output.status.code(), Some(code), "{arguments:?}");
        assert_eq!(json(&output)["measured"]["diagnosis"], diagnosis);
    }
    let output = run(place.path(), &["field", "--measured", "6.30A", "900V"]);
    assert!(text(&output.stdout).contains("faulty regulator; do a"), "{}", text(&output.stdout));
    for bad in [["6.5V", "900V"], ["6.5A", "-3V"], ["0A", "900V"]] {
        let arguments = ["field", "--measured", bad[0], bad[1]];
        assert_eq!(run(place.path(), &arguments).status.code(), Some(2), "{bad:?}");
    }
}

#[test]
fn pinned_field_writes_figures_and_rows() {
    let place = tempfile::tempdir().unwrap();
    let output = run(place.path(), &["field", "--out", "field"]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    let folder = place.path().join("field");
    for name in ["load-bar.svg", "load-bar.png", "output-voltage-lamps-out.svg", "field.json"] {
        assert!(folder.join(name).is_file(), "{name}");
    }
    let rows = std::fs::read_to_string(folder.join("field-steps.csv")).unwrap();
    let columns = rows.lines().next().unwrap().split(',').count();
    assert_eq!(rows.lines().count(), 6);
    assert!(rows.lines().all(|line| line.split(',').count() == columns), "{rows}");
    // No secondary is open: an empty cell, not a nil.
    assert!(rows.lines().nth(1).unwrap().contains(",,"), "{rows}");
}

#[test]
fn pinned_lamps_out_of_the_example() {
    let place = tempfile::tempdir().unwrap();
    let output = run(place.path(), &["lamps-out"]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    pinned("lamps-out", &output);
    let output = run(place.path(), &["lamps-out", "--out", "out", "--json"]);
    let document = json(&output);
    assert_eq!(document["kind"], "lamps-out");
    let folder = place.path().join("out");
    for name in ["crest-map.svg", "crest-map.png", "output-voltage-lamps-out.png", "lamps-out.csv"]
    {
        assert!(folder.join(name).is_file(), "{name}");
    }
}

/// The crest factor of a swept share, put in as a measurement, comes back as that share.
#[test]
fn pinned_lamps_out_finds_the_share_it_was_given() {
    let place = tempfile::tempdir().unwrap();
    let swept = json(&run(place.path(), &["lamps-out", "--group", "edge lights", "--json"]));
    assert_eq!(swept["group"], "edge lights");
    let step = &swept["steps"][4];
    assert_eq!(step["step"], 1);
    let point = &step["points"][4];
    assert_eq!(point["open_ratio"], 0.2);
    let crest = point["crest_factor"].as_f64().unwrap().to_string();
    let average = (1.0 + point["average_error_ratio"].as_f64().unwrap()).to_string();
    for (option, value) in [("--crest", crest), ("--average-ratio", average)] {
        let arguments = [
            "lamps-out",
            "--group",
            "edge lights",
            "--step",
            "1",
            option,
            &value,
            "--uncertainty",
            "0.005",
            "--json",
        ];
        let estimate = &json(&run(place.path(), &arguments))["estimate"];
        let share = estimate["most_likely_ratio"].as_f64().unwrap();
        // Straight lines between shares 1 % apart.
        assert!((share - 0.2).abs() < 0.005, "{option}: {share}");
        let stretch = &estimate["stretches"][0];
        assert!(stretch[0].as_f64().unwrap() < 0.2 && stretch[1].as_f64().unwrap() > 0.2);
    }
    let arguments = ["lamps-out", "--step", "1", "--crest", "2.9", "--uncertainty", "0.02"];
    let output = run(place.path(), &arguments);
    assert!(
        text(&output.stdout).contains("no share of lamps out gives"),
        "{}",
        text(&output.stdout)
    );
}

#[test]
fn pinned_lamps_out_refuses_what_makes_no_question() {
    let place = tempfile::tempdir().unwrap();
    for (arguments, said) in [
        (&["lamps-out", "--crest", "1.6"][..], "--uncertainty"),
        (&["lamps-out", "--uncertainty", "0.02"], "--crest"),
        (
            &["lamps-out", "--crest", "1.6", "--average-ratio", "0.97", "--uncertainty", "0.01"],
            "cannot be used with",
        ),
        (&["lamps-out", "--group", "edge light"], "did you mean \"edge lights\"?"),
        (&["lamps-out", "--crest", "1.6", "--uncertainty", "0"], "standard uncertainty"),
        (&["lamps-out", "--crest", "1.6", "--uncertainty", "0.02", "--step", "9"], "--step 9"),
    ] {
        let output = run(place.path(), arguments);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        assert!(text(&output.stderr).contains(said), "{arguments:?}: {}", text(&output.stderr));
    }
    let bare = "format = 1\ntitle = \"bench\"\ninvented = true\n[steps]\ncircuit = \"6.6A-5-step\"\n\
                [regulator]\nrating = \"10 kW\"\nload = \"2 %\"\n\
                [[meter]]\nname = \"clamp\"\ndetector = \"average\"\n";
    std::fs::write(place.path().join("bare.toml"), bare).unwrap();
    for command in ["field", "lamps-out"] {
        let output = run(place.path(), &[command, "bare.toml"]);
        assert_eq!(output.status.code(), Some(2), "{command}");
        assert!(text(&output.stderr).contains("no [field]"), "{}", text(&output.stderr));
    }
}

/// Without a second load every step is read again on the field itself.
#[test]
fn pinned_judge_reads_again_on_the_field() {
    let place = tempfile::tempdir().unwrap();
    assert_eq!(run(place.path(), &["starter", "bench.toml"]).status.code(), Some(0));
    let file = place.path().join("bench.toml");
    let text_of = std::fs::read_to_string(&file).unwrap();
    std::fs::write(&file, text_of.replace("recheck-load = \"60 %\"\n", "")).unwrap();
    let output = run(place.path(), &["judge", "bench.toml", "--no-folder"]);
    let printed = text(&output.stdout);
    assert!(printed.contains("the field of the description"), "{printed}");
    let document = json(&run(place.path(), &["judge", "bench.toml", "--json"]));
    assert!(document["recheck"]["recheck_load_ratio"].is_null());
    let rows = document["recheck"]["rows"].as_array().unwrap();
    let field = json(&run(place.path(), &["field", "--json"]));
    // A true-RMS meter trims to the nominal: its row is the field's own operating point, so the
    // average meter's change there is the difference of the errors on both loads.
    for row in rows.iter().filter(|row| row["meter"] == "true-RMS clamp") {
        let now_a = row["recheck_true_rms_a"].as_f64().unwrap();
        let steps = field["steps"].as_array().unwrap();
        let step = steps.iter().find(|step| step["step"] == row["step"]).unwrap();
        let solved_a = step["solved"]["output_rms_a"].as_f64().unwrap();
        assert!((now_a / solved_a - 1.0).abs() < 1e-8, "{row}");
    }
    assert_eq!(rows.len(), 15);
}

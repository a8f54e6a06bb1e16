//! Estimates and sweeps as a user meets them, interruptions included. No truth is claimed here.

use std::path::Path;
use std::process::{Command, Output, Stdio};
use std::time::{Duration, Instant};

use crate::support::program::stored;

fn command(folder: &Path, arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_loopcrest"));
    command.args(arguments).current_dir(folder).env("NO_COLOR", "1");
    command
}

fn run(folder: &Path, arguments: &[&str]) -> Output {
    command(folder, arguments).output().unwrap()
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

const SMALL: [&str; 8] = ["--load", "60%", "--step", "1", "--circuits", "200", "--pairs", "40"];

#[test]
fn pinned_estimate_says_it_in_one_sentence() {
    let place = tempfile::tempdir().unwrap();
    let mut arguments = vec!["estimate"];
    arguments.extend(SMALL);
    arguments.extend(["--out", "folder"]);
    let output = run(place.path(), &arguments);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    assert!(output.stderr.is_empty(), "no bar without a terminal");
    let table = text(&output.stdout);
    assert!(table.lines().all(|line| line.chars().count() <= 80), "{table}");
    stored("estimate.txt", &table);
    arguments.truncate(arguments.len() - 2);
    arguments.push("--json");
    let document: serde_json::Value =
        serde_json::from_slice(&run(place.path(), &arguments).stdout).unwrap();
    assert_eq!(document["kind"], "estimate");
    let step = &document["steps"][0];
    let sentence = step["sentence"].as_str().unwrap();
    assert!(sentence.starts_with("step 1: crest factor 1.4"), "{sentence}");
    // The sentence is folded at the screen's edge.
    let unfolded = table.replace('\n', " ");
    assert!(unfolded.contains(sentence), "{table}");
    let crest = &step["outputs"][0];
    assert_eq!(crest["output"], "crest_factor");
    let low = crest["low"]["value"].as_f64().unwrap();
    assert!(table.contains(&format!("{low:.3}")), "{table}");
    assert_eq!(crest["indices"].as_array().unwrap().len(), 7);
    assert!(document["notes"][1]["text"].as_str().unwrap().contains("without a source"));
    for name in ["intervals.svg", "sensitivity.png", "convergence.svg", "estimate.json"] {
        assert!(place.path().join("folder").join(name).is_file(), "{name}");
    }
}

#[test]
fn pinned_sweep_refuses_what_it_cannot_do() {
    let place = tempfile::tempdir().unwrap();
    for (arguments, word) in [
        (vec!["--over", "regulator.load=2%..100%/5"], "--out"),
        (vec!["--over", "regulator.load=1,2", "--out", "a.csv"], "changes nothing"),
        (vec!["--over", "supply.voltige=1,2", "--out", "a.csv"], "supply.voltage"),
        (vec!["--over", "supply.voltage=0.9,1", "--out", "a.txt"], ".parquet"),
        (vec!["--out", "a.csv"], "--over"),
        (vec!["--over", "supply.voltage=0.9,1", "--sample", "5", "--out", "a.csv"], "--sample"),
        (vec!["--over", "field.group.9.open-share=0,1", "--out", "a.csv"], "field.group"),
        (vec!["--over", "field.group.1.open-share=0,2", "--out", "a.csv"], "share of lamps out"),
        (vec!["--sample", "5", "--part", "3/2", "--out", "a.csv"], "number of the part"),
        (vec!["--sample", "5", "--step", "9", "--out", "a.csv"], "a step of the description"),
    ] {
        let mut all = vec!["sweep"];
        all.extend(&arguments);
        let output = run(place.path(), &all);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        let said = text(&output.stderr);
        assert!(said.contains(word), "{arguments:?}: {said}");
    }
    assert!(std::fs::read_dir(place.path()).unwrap().next().is_none(), "nothing is written");
    let list = text(&run(place.path(), &["sweep", "--list"]).stdout);
    assert!(list.contains("regulator.values.capacitor-reactance"), "{list}");
    stored("sweep-list.txt", &list);
    assert!(list.lines().all(|line| line.chars().count() <= 80), "{list}");
}

/// A cell as it stands, a number to four digits: the last ones are the processor's.
fn four_digits(cell: &str) -> String {
    match cell.parse::<f64>() {
        Ok(number) if cell.contains('.') => format!("{number:.3e}"),
        _ => cell.to_owned(),
    }
}

#[test]
fn pinned_a_grid_of_two_parameters_is_a_table() {
    let place = tempfile::tempdir().unwrap();
    let output = run(
        place.path(),
        &[
            "sweep",
            "--load",
            "60%",
            "--step",
            "5",
            "--over",
            "supply.voltage=90%..110%/2",
            "--over",
            "regulator.load=40%,60%",
            "--out",
            "grid.csv",
        ],
    );
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    let mut shown = text(&output.stdout);
    shown += "\ngrid.csv, numbers to four digits\n";
    for line in std::fs::read_to_string(place.path().join("grid.csv")).unwrap().lines() {
        shown += &(line.split(',').map(four_digits).collect::<Vec<_>>().join(",") + "\n");
    }
    stored("sweep.txt", &shown);
}

const SWEEP: [&str; 11] =
    ["sweep", "--load", "60%", "--step", "5", "--step", "1", "--sample", "300", "--seed", "3"];

fn sweep(folder: &Path, more: &[&str], threads: &str) -> Output {
    let mut arguments = SWEEP.to_vec();
    arguments.extend(more);
    command(folder, &arguments).env("RAYON_NUM_THREADS", threads).output().unwrap()
}

/// Interrupted by a signal and run again, on one thread and on two, in parts and at once: the same
/// bytes.
#[test]
fn pinned_an_interrupted_sweep_goes_on() {
    let place = tempfile::tempdir().unwrap();
    let file = |name: &str| place.path().join(name);
    assert_eq!(sweep(place.path(), &["--out", "whole.csv"], "1").status.code(), Some(0));
    let whole = std::fs::read(file("whole.csv")).unwrap();
    for (name, whole) in [
        ("cut.csv", Some(&whole)),
        // Its rows wait as text until it is complete.
        ("cut.parquet", None),
    ] {
        let rows = if whole.is_some() { name.to_owned() } else { format!("{name}.rows") };
        let mut arguments = SWEEP.to_vec();
        arguments.extend(["--out", name]);
        let mut child = command(place.path(), &arguments)
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let begun = Instant::now();
        while std::fs::metadata(file(&rows)).map_or(0, |data| data.len()) < 2000 {
            assert!(begun.elapsed() < Duration::from_secs(120), "no rows appear");
            assert!(child.try_wait().unwrap().is_none(), "ended before it was interrupted");
            std::thread::sleep(Duration::from_millis(2));
        }
        let killed = Command::new("kill").args(["-INT", &child.id().to_string()]).status().unwrap();
        assert!(killed.success());
        let output = child.wait_with_output().unwrap();
        assert_eq!(output.status.code(), Some(130), "{}", text(&output.stderr));
        assert!(text(&output.stdout).contains("run it again"), "{}", text(&output.stdout));
        let part = std::fs::read(file(name)).unwrap();
        match whole {
            Some(whole) => {
                assert!(part.len() < whole.len() && whole.starts_with(&part));
                assert_eq!(part.last(), Some(&b'\n'));
            }
            None => assert!(part.starts_with(b"PAR1") && part.ends_with(b"PAR1")),
        }
        let again = sweep(place.path(), &["--out", name], "2");
        assert_eq!(again.status.code(), Some(0), "{}", text(&again.stderr));
        assert!(text(&again.stdout).contains("circuits were there"), "{}", text(&again.stdout));
        if let Some(whole) = whole {
            assert!(std::fs::read(file(name)).unwrap() == *whole, "other bytes");
        }
    }
    sweep(place.path(), &["--out", "whole.parquet"], "2");
    let same = std::fs::read(file("whole.parquet")).unwrap()
        == std::fs::read(file("cut.parquet")).unwrap();
    assert!(same, "other bytes in Parquet");
    let mut behind = Vec::new();
    for part in ["1/3", "2/3", "3/3"] {
        let name = format!("part{}.csv", &part[..1]);
        sweep(place.path(), &["--part", part, "--out", &name], "2");
        behind.extend(std::fs::read(file(&name)).unwrap());
    }
    assert!(behind == whole, "parts are not the whole");
    let joined = sweep(
        place.path(),
        &["--out", "joined.csv", "--join", "part1.csv", "part2.csv", "part3.csv"],
        "2",
    );
    assert_eq!(joined.status.code(), Some(0), "{}", text(&joined.stderr));
    assert!(std::fs::read(file("joined.csv")).unwrap() == whole);
}

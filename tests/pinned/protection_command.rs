//! The command `protection` as a user meets it. The stored text claims no truth; it shows what has
//! changed. Set `LOOPCREST_STORE=1` to write it anew.

use std::path::Path;
use std::process::Command;

use crate::support::program::{run, text};

#[test]
fn pinned_protection_shows_set_points_trials_and_why_the_output_is_shorted() {
    let place = tempfile::tempdir().unwrap();
    let output = run(place.path(), &["protection", "--meter", "general-true-rms-clamp"]);
    let shown = text(&output.stdout);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    for part in [
        "SHORT THE OUTPUT",
        "6.798 A (103 %)",
        "from memory, not verified",
        "control fault to 105 %",
        "loop opens",
        "Qualified persons only",
    ] {
        assert!(shown.contains(part), "{part}: {shown}");
    }
    assert!(shown.lines().all(|line| line.chars().count() <= 80), "{shown}");
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/pinned/printed/protection.txt");
    if std::env::var_os("LOOPCREST_STORE").is_some() {
        std::fs::write(&path, &shown).unwrap();
    }
    assert!(shown == std::fs::read_to_string(&path).unwrap(), "no longer as stored:\n{shown}");
}

/// The document and the files, on one thread and on two: the same bytes.
#[test]
fn pinned_protection_writes_the_same_bytes_on_any_number_of_threads() {
    let place = tempfile::tempdir().unwrap();
    let on = |threads: &str| {
        let output = Command::new(env!("CARGO_BIN_EXE_loopcrest"))
            .args(["protection", "--json", "--out", threads])
            .current_dir(place.path())
            .env("RAYON_NUM_THREADS", threads)
            .output()
            .unwrap();
        assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
        output.stdout
    };
    let one = on("1");
    assert!(one == on("2"), "not the same on two threads");
    let json: serde_json::Value = serde_json::from_slice(&one).unwrap();
    assert_eq!(json["kind"], "protection");
    for trial in json["trials"].as_array().unwrap() {
        let verdict = &trial["verdict"];
        assert!(verdict.is_null() || verdict == "inside", "{trial}");
    }
    let read =
        |folder: &str, name: &str| std::fs::read(place.path().join(folder).join(name)).unwrap();
    for name in ["protection-times.svg", "protection-times.png", "protection.json"] {
        assert!(read("1", name) == read("2", name), "{name}");
    }
}

/// `--require` ends with the verdict's code.
#[test]
fn pinned_protection_that_is_required_says_so_in_its_exit_code() {
    let place = tempfile::tempdir().unwrap();
    let required = ["protection", "--meter", "general-true-rms-clamp", "--require"];
    assert_eq!(run(place.path(), &required).status.code(), Some(0));
    let hasty = "format = 1\ntitle = \"bench\"\ninvented = true\n\
                 [steps]\ncircuit = \"6.6A-5-step\"\n[regulator]\nrating = \"10 kW\"\n\
                 load = \"2 %\"\n[[regulator.protection.overcurrent]]\npickup = \"103 %\"\n\
                 delay = \"2 s\"\ntried-at = \"105 %\"\nshortest = \"3 s\"\nlongest = \"5 s\"\n\
                 source = \"invented\"\n[[meter]]\nname = \"clamp\"\ndetector = \"average\"\n";
    std::fs::write(place.path().join("hasty.toml"), hasty).unwrap();
    let output = run(place.path(), &["protection", "hasty.toml", "--require"]);
    assert_eq!(output.status.code(), Some(1), "{}", text(&output.stderr));
    assert!(text(&output.stdout).contains("TOO EARLY"), "{}", text(&output.stdout));
}

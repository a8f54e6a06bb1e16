//! The command line as a user meets it: what it prints, where, and its exit code. The stored texts
//! claim no truth; they show what has changed. Set `LOOPCREST_STORE=1` to write them anew.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

struct Bench {
    folder: tempfile::TempDir,
}

impl Bench {
    fn new() -> Self {
        Self { folder: tempfile::tempdir().unwrap() }
    }

    fn run(&self, arguments: &[&str]) -> Output {
        Command::new(env!("CARGO_BIN_EXE_loopcrest"))
            .args(arguments)
            .current_dir(self.folder.path())
            .env("NO_COLOR", "1")
            .output()
            .unwrap()
    }

    fn write(&self, name: &str, text: &str) {
        std::fs::write(self.folder.path().join(name), text).unwrap();
    }

    fn names(&self) -> Vec<String> {
        let mut names: Vec<_> = std::fs::read_dir(self.folder.path())
            .unwrap()
            .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
            .collect();
        names.sort();
        names
    }
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

fn code(output: &Output) -> i32 {
    output.status.code().unwrap()
}

#[track_caller]
fn stored(name: &str, got: &str) {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/pinned/transcripts").join(name);
    if std::env::var_os("LOOPCREST_STORE").is_some() {
        std::fs::create_dir_all(file.parent().unwrap()).unwrap();
        std::fs::write(&file, got).unwrap();
    }
    let want = std::fs::read_to_string(&file).unwrap_or_default();
    assert_eq!(got, want, "{name} differs from what is stored");
}

#[test]
fn pinned_default_run_prints_a_table_and_writes_one_folder() {
    let bench = Bench::new();
    let output = bench.run(&[]);
    assert_eq!(code(&output), 0, "{}", text(&output.stderr));
    assert!(output.stderr.is_empty());
    stored("default.txt", &text(&output.stdout));
    assert!(text(&output.stdout).lines().all(|line| line.chars().count() <= 80));
    assert_eq!(bench.names(), ["loopcrest-run-001"]);
    let run = bench.folder.path().join("loopcrest-run-001");
    for name in ["survey.json", "description.toml"] {
        assert!(run.join(name).is_file(), "{name}");
    }
    // A second run takes the next number and touches nothing.
    let before = std::fs::read(run.join("survey.json")).unwrap();
    assert_eq!(code(&bench.run(&[])), 0);
    assert_eq!(bench.names(), ["loopcrest-run-001", "loopcrest-run-002"]);
    assert_eq!(std::fs::read(run.join("survey.json")).unwrap(), before);
}

#[test]
fn pinned_json_holds_the_numbers_of_the_table() {
    let bench = Bench::new();
    let output = bench.run(&["--json"]);
    assert_eq!(code(&output), 0);
    assert!(bench.names().is_empty(), "--json alone writes no folder");
    let json: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(json["kind"], "survey");
    assert_eq!(json["format"], 1);
    assert_eq!(json["invented"], true);
    let average = &json["steps"][4]["meters"][1];
    assert_eq!(average["detector"], "average");
    let error = 100.0 * average["error_ratio"].as_f64().unwrap();
    let table = text(&bench.run(&["judge", "--no-folder"]).stdout);
    assert!(table.contains(&format!("{error:+.2} %")), "{error} is not in the table");
}

#[test]
fn pinned_json_follows_its_schema() {
    let bench = Bench::new();
    let schema: serde_json::Value = serde_json::from_slice(&bench.run(&["schema"]).stdout).unwrap();
    for arguments in [&["--json"][..], &["shape", "sine", "--json"], &["steps", "--json"]] {
        let document: serde_json::Value =
            serde_json::from_slice(&bench.run(arguments).stdout).unwrap();
        let kind = document["kind"].as_str().unwrap();
        let described = schema["oneOf"]
            .as_array()
            .unwrap()
            .iter()
            .any(|one| one["properties"]["kind"]["const"] == kind);
        assert!(described, "the schema does not describe {kind}");
    }
}

#[test]
fn pinned_shape_and_steps() {
    let bench = Bench::new();
    for (name, arguments) in [
        ("shape-harmonics.txt", &["shape", "harmonics", "3:20%:180deg"][..]),
        ("shape-half-wave.txt", &["shape", "half-wave", "--peak", "10A"]),
        ("steps.txt", &["steps"]),
    ] {
        let output = bench.run(arguments);
        assert_eq!(code(&output), 0, "{}", text(&output.stderr));
        stored(name, &text(&output.stdout));
    }
}

#[test]
fn pinned_errors_show_the_place_and_end_with_the_right_code() {
    let bench = Bench::new();
    let good = text(&bench.run(&["starter"]).stdout);
    bench.write("range.toml", &good.replace("frequency = \"60 Hz\"", "frequency = \"400 Hz\""));
    bench.write("field.toml", &good.replace("bands = \"ufc", "band = \"ufc"));
    bench.write("latin.toml", "");
    std::fs::write(bench.folder.path().join("latin.toml"), b"title = \"\xe9\"").unwrap();
    let before = bench.names();
    for (name, arguments, want) in [
        ("error-range.txt", &["judge", "range.toml"][..], 2),
        ("error-field.txt", &["judge", "field.toml"], 2),
        ("error-latin.txt", &["judge", "latin.toml"], 2),
        ("error-missing.txt", &["judge", "missing.toml"], 4),
        ("error-usage.txt", &["judg"], 2),
        ("error-angle.txt", &["shape", "phase-cut", "200deg"], 2),
        ("error-unit.txt", &["shape", "sine", "--rms", "6.6 V"], 2),
        ("error-require.txt", &["judge", "--require", "avrage clamp"], 2),
        ("error-circuit.txt", &["steps", "6.6A"], 2),
    ] {
        let output = bench.run(arguments);
        assert_eq!(code(&output), want, "{arguments:?}: {}", text(&output.stderr));
        assert!(output.stdout.is_empty(), "{arguments:?} printed to standard output");
        stored(name, &text(&output.stderr));
    }
    assert_eq!(bench.names(), before, "an error leaves nothing behind");
}

#[test]
fn pinned_a_required_meter_decides_the_exit_code() {
    let bench = Bench::new();
    let with = |meter: &str| code(&bench.run(&["judge", "--no-folder", "--require", meter]));
    assert_eq!(with("true-RMS clamp"), 0);
    assert_eq!(with("average clamp"), 1);
    assert_eq!(with("peak clamp"), 1);
}

#[test]
fn pinned_existing_results_are_kept_unless_told() {
    let bench = Bench::new();
    assert_eq!(code(&bench.run(&["judge", "--out", "results"])), 0);
    let output = bench.run(&["judge", "--out", "results"]);
    assert_eq!(code(&output), 4);
    assert!(text(&output.stderr).contains("--replace"));
    assert_eq!(code(&bench.run(&["judge", "--out", "results", "--replace"])), 0);

    assert_eq!(code(&bench.run(&["starter", "bench.toml"])), 0);
    bench.write("bench.toml", "mine");
    let output = bench.run(&["starter", "bench.toml"]);
    assert_eq!(code(&output), 4);
    assert!(text(&output.stderr).contains("--replace"));
    let kept = std::fs::read_to_string(bench.folder.path().join("bench.toml")).unwrap();
    assert_eq!(kept, "mine");
    assert_eq!(bench.names(), ["bench.toml", "results"]);
}

#[test]
fn pinned_the_starter_is_a_description_that_runs() {
    let bench = Bench::new();
    assert_eq!(code(&bench.run(&["starter", "bench.toml"])), 0);
    let own = bench.run(&["judge", "bench.toml", "--no-folder"]);
    let embedded = bench.run(&["judge", "--no-folder"]);
    assert_eq!(code(&own), 0);
    assert_eq!(own.stdout, embedded.stdout);
}

#[test]
fn pinned_every_command_has_help_with_an_example() {
    let bench = Bench::new();
    for command in ["judge", "shape", "capture", "steps", "starter", "schema", "completions"] {
        let help = text(&bench.run(&[command, "--help"]).stdout);
        assert!(help.contains("Example"), "{command}: no example in its help");
        assert!(help.contains(&format!("loopcrest {command}")), "{command}: {help}");
    }
    for shell in ["bash", "zsh", "fish"] {
        let script = text(&bench.run(&["completions", shell]).stdout);
        assert!(script.contains("loopcrest") && script.len() > 1000, "{shell}");
    }
}

/// What a reader of the folder of results gets is what `--json` prints.
#[test]
fn pinned_the_folder_holds_the_same_json() {
    let bench = Bench::new();
    let json = bench.run(&["judge", "--json", "--out", "results"]).stdout;
    let file: PathBuf = bench.folder.path().join("results/survey.json");
    assert_eq!(std::fs::read(file).unwrap(), json);
}

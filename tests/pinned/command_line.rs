//! The command line as a user meets it: what it prints, where, and its exit code. The stored texts
//! claim no truth; they show what has changed. Set `LOOPCREST_STORE=1` to write them anew.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use loopcrest::description::Description;

use super::fit_command::write_capture;

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
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/pinned/printed").join(name);
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
    for name in ["survey.json", "description.toml", "contents.json"] {
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
    let error_a = average["error_a"].as_f64().unwrap();
    let cells = format!("{error_a:+.3} {error:+.2}");
    assert!(table.contains(&cells), "{cells} is not in the table");
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

/// Two runs began while the number was free and one destroyed the other's results: 2026, found by
/// running four at once.
#[test]
fn pinned_four_runs_at_once_keep_all_their_results() {
    let bench = Bench::new();
    bench.write("bench.toml", DRAWN);
    let start = || {
        Command::new(env!("CARGO_BIN_EXE_loopcrest"))
            .args(["judge", "bench.toml"])
            .current_dir(bench.folder.path())
            .stdout(std::process::Stdio::null())
            .spawn()
            .unwrap()
    };
    let running: Vec<_> = (0..4).map(|_| start()).collect();
    for mut run in running {
        assert!(run.wait().unwrap().success());
    }
    assert_eq!(
        bench.names(),
        [
            "bench.toml",
            "loopcrest-run-001",
            "loopcrest-run-002",
            "loopcrest-run-003",
            "loopcrest-run-004"
        ]
    );
    for number in 1..=4 {
        let run = bench.folder.path().join(format!("loopcrest-run-{number:03}"));
        let contents = std::fs::read(run.join("contents.json")).unwrap();
        let contents: serde_json::Value = serde_json::from_slice(&contents).unwrap();
        let files = contents["files"].as_array().unwrap();
        assert!(files.len() >= 4);
        for file in files {
            assert!(run.join(file.as_str().unwrap()).is_file(), "{number}: {file}");
        }
    }
}

/// A drawn current: nothing to solve, so that a run takes no time.
const DRAWN: &str = r#"format = 1
title = "bench"
invented = true

[steps]
circuit = "6.6A-5-step"

[current.shape.harmonics]
list = [{ order = 3, ratio = "6.5 %", phase = "180 deg" }]

[[meter]]
name = "true-RMS clamp"
detector = "true-rms"

[[meter]]
name = "average clamp"
detector = "average"
"#;

/// A sine of 6.6 A RMS at 60 Hz, 2000 samples per second, half a second.
fn recorded_sine(value: impl Fn(f64) -> String) -> impl Iterator<Item = (f64, String)> {
    (0..1000).map(move |sample| {
        let time_s = f64::from(sample) / 2000.0;
        let current_a =
            6.6 * std::f64::consts::SQRT_2 * (std::f64::consts::TAU * 60.0 * time_s).sin();
        (time_s, value(current_a))
    })
}

/// The lines of a help's examples, without what is said about them.
fn examples(help: &str) -> Vec<String> {
    // A line that ends in a backslash goes on in the next.
    let whole: Vec<&str> = help.split(" \\\n").map(str::trim_start).collect();
    whole
        .join(" ")
        .lines()
        .filter_map(|line| line.strip_prefix("  "))
        .filter(|line| line.starts_with("loopcrest"))
        .map(|line| line.split("   ").next().unwrap_or_default().trim().to_owned())
        .collect()
}

/// Every example that any help prints runs. (One printed in the help itself was refused, since an
/// option after the list was taken for a member of it.)
#[cfg(unix)]
#[test]
fn pinned_every_example_of_every_help_runs() {
    let bench = Bench::new();
    let voltage: String = recorded_sine(|a| format!("{:.6}", 0.1 * a))
        .map(|(time_s, volts)| format!("{time_s},0.0,{volts}\n"))
        .collect();
    let plain: String =
        recorded_sine(|a| format!("{:.3}", 1000.0 * a)).map(|(_, ma)| ma + "\n").collect();
    std::fs::create_dir_all(bench.folder.path().join(".local/share/bash-completion/completions"))
        .unwrap();
    std::fs::create_dir_all(bench.folder.path().join(".config/fish/completions")).unwrap();
    std::fs::create_dir_all(bench.folder.path().join("vault-3")).unwrap();
    let timed = |scale: f64| -> String {
        let unit = if scale < 1.0 { "V" } else { "A" };
        let rows: String = recorded_sine(|a| format!("{:.6}", scale * a))
            .map(|(time_s, value)| format!("{time_s},{value}\n"))
            .collect();
        format!("time (s),CH1 ({unit})\n{rows}")
    };
    let program = Path::new(env!("CARGO_BIN_EXE_loopcrest"));
    let others = std::env::var("PATH").unwrap();
    let path = format!("{}:{others}", program.parent().unwrap().display());

    let mut helps = vec![text(&bench.run(&["--help"]).stdout)];
    for command in subcommands(&helps[0]) {
        let help = text(&bench.run(&[&command, "--help"]).stdout);
        for inner in subcommands(&help) {
            helps.push(text(&bench.run(&[&command, &inner, "--help"]).stdout));
        }
        helps.push(help);
    }
    let lines: Vec<String> = helps.iter().flat_map(|help| examples(help)).collect();
    assert!(lines.len() >= 20, "only {} examples were found", lines.len());
    for line in lines {
        // Judging is quicker on drawn currents; every other command solves.
        let judged = ["loopcrest judge", "loopcrest starter"].iter().any(|c| line.contains(c));
        bench.write("bench.toml", if judged { DRAWN } else { Description::EMBEDDED_TEXT });
        bench.write("r-01.toml", DRAWN);
        bench.write("r-02.toml", DRAWN);
        bench.write("scope.csv", &format!("time,CH1,CH2\ns,V,V\n{voltage}"));
        bench.write("logger.txt", &format!("current\n{plain}"));
        if line.contains("starter bench.toml") {
            std::fs::remove_file(bench.folder.path().join("bench.toml")).unwrap();
        }
        if line.contains("capture scope.csv") && !line.contains("--column") {
            let amperes: String = recorded_sine(|a| format!("{a:.6}"))
                .map(|(time_s, a)| format!("{time_s},{a}\n"))
                .collect();
            bench.write("scope.csv", &format!("time (s),current (A)\n{amperes}"));
        }
        bench.write("night.csv", &timed(if line.contains("mV/A") { 0.1 } else { 1.0 }));
        bench.write("vault-3/step-5.csv", &timed(if line.contains("mV/A") { 0.1 } else { 1.0 }));
        write_capture(&bench.folder.path().join("short.csv"), 6.6, 0.02, 1);
        bench.write("readings.csv", "step,moment,output,shown\n5,as-found,shorted,6.58\n");
        if line.contains("logbook export readings.csv") {
            std::fs::remove_file(bench.folder.path().join("readings.csv")).unwrap();
        }
        let mut book = "loopcrest-logbook.sqlite";
        if line.contains("exercises check") {
            let order = "exercises --class 3 --seed 7 --level technician --out class-7 --replace";
            let made = bench.run(&order.split(' ').collect::<Vec<_>>());
            assert_eq!(code(&made), 0, "{}", text(&made.stderr));
        } else if line.contains("--out class-7") {
            let _ = std::fs::remove_dir_all(bench.folder.path().join("class-7"));
        }
        if line.contains("logbook record") || line.contains("consequences --visit") {
            // A logbook of its own, whose first entry opens a visit.
            book = "visited.sqlite";
            for kept in ["visited.sqlite", "record-1"].map(|name| bench.folder.path().join(name)) {
                let _ = if kept.is_dir() {
                    std::fs::remove_dir_all(kept)
                } else {
                    std::fs::remove_file(kept)
                };
            }
            let visit = "calibrate bench.toml --regulator R-07 --by A --readings readings.csv";
            let arguments: Vec<&str> = visit.split(' ').chain(["--logbook", book]).collect();
            let opened = bench.run(&arguments);
            assert_eq!(code(&opened), 1, "one step of five: {}", text(&opened.stderr));
        }
        if line.contains("worksheet --logbook") {
            let kept = bench.folder.path().join("book.sqlite");
            let _ = std::fs::remove_file(kept);
            for what in
                ["regulator R-07 bench.toml --place vault", "meter M-1 --sheet wide-range-clamp"]
            {
                let added = format!("logbook add {what} --by A --logbook book.sqlite");
                let output = bench.run(&added.split(' ').collect::<Vec<_>>());
                assert_eq!(code(&output), 0, "{}", text(&output.stderr));
            }
        }
        // The page is served until someone ends it.
        let line = if line.contains("loopcrest page") {
            let line = line.replace(" --no-browser", "");
            format!("timeout --preserve-status -s INT 3 {line} --no-browser")
        } else {
            line
        };
        let output = Command::new("sh")
            .args(["-c", &line])
            .current_dir(bench.folder.path())
            .env("LOOPCREST_LOGBOOK", book)
            .env("PATH", &path)
            .env("HOME", bench.folder.path())
            .env("NO_COLOR", "1")
            .output()
            .unwrap();
        // One capture need not tell what it was made with: a fit says so, and 1 is its verdict.
        let told = if line.contains("loopcrest fit ") {
            [0, 1]
        } else if line.contains("logbook due") || line.contains("logbook doubt") {
            // Something may be due, or wrongly accepted.
            [0, 1]
        } else if line.contains("calibrate") && line.contains("--readings") {
            // One step of five is not all of them.
            [1, 1]
        } else if line.contains("loopcrest calibrate") {
            // Nobody answers: the run is left at its first question.
            [130, 130]
        } else {
            [0, 0]
        };
        let report = format!("{line}: {}{}", text(&output.stderr), text(&output.stdout));
        assert!(told.contains(&code(&output)), "{report}");
    }
}

/// The names under "Commands:" in a help.
fn subcommands(help: &str) -> Vec<String> {
    // The first help lists them by task, one level further in.
    let is_by_task = help.lines().any(|line| line.starts_with("    judge "));
    let indent = if is_by_task { "    " } else { "  " };
    help.lines()
        .skip_while(|line| *line != "Commands:")
        .skip(1)
        .take_while(|line| !line.is_empty())
        .filter_map(|line| line.strip_prefix(indent)?.split(' ').next().map(str::to_owned))
        .filter(|name| !name.is_empty() && name != "help")
        .collect()
}

#[test]
fn pinned_no_table_is_wider_than_the_screen() {
    let bench = Bench::new();
    let long = "clamp of the eastern vault, number 12345";
    bench.write("long.toml", &DRAWN.replace("average clamp", long));
    let output = bench.run(&["judge", "long.toml", "--no-folder", "--require", long]);
    assert_eq!(code(&output), 1);
    let shown = text(&output.stdout);
    assert!(shown.lines().all(|line| line.chars().count() <= 80), "{shown}");
    let required = shown.split("Required\n").nth(1).unwrap();
    assert!(required.contains("at step"), "{required}");
}

#[test]
fn pinned_a_name_the_figures_cannot_draw_is_noticed_and_no_failure() {
    let bench = Bench::new();
    bench.write("far.toml", &DRAWN.replace("average clamp", "測定器"));
    let output = bench.run(&["judge", "far.toml", "--out", "results"]);
    assert_eq!(code(&output), 0, "{}", text(&output.stderr));
    let shown = text(&output.stdout);
    assert!(shown.contains("\"???\" for \"測定器\""), "{shown}");
    let svg = std::fs::read_to_string(bench.folder.path().join("results/errors.svg")).unwrap();
    assert!(svg.contains("???"));
}

/// The copy in a folder of results runs from there, though its capture lies elsewhere.
#[test]
fn pinned_the_description_in_the_results_runs_there() {
    let bench = Bench::new();
    let amperes: String =
        recorded_sine(|a| format!("{a:.6}")).map(|(t, a)| format!("{t},{a}\n")).collect();
    bench.write("step5.csv", &format!("time (s),current (A)\n{amperes}"));
    let at =
        "[[current.at]]\nstep = 5\ncapture = { file = \"step5.csv\", column = 2 }\n\n[[meter]]";
    bench.write("bench.toml", &DRAWN.replacen("[[meter]]", at, 1));
    assert_eq!(code(&bench.run(&["judge", "bench.toml", "--out", "results"])), 0);
    let copy = std::fs::read_to_string(bench.folder.path().join("results/description.toml"));
    assert!(copy.unwrap().starts_with("# A copy: "));
    let again = bench.run(&["judge", "results/description.toml", "--no-folder"]);
    assert_eq!(code(&again), 0, "{}", text(&again.stderr));
    // Replacing the folder would remove the description that is read.
    let output = bench.run(&["judge", "results/description.toml", "--out", "results", "--replace"]);
    assert_eq!(code(&output), 2);
    assert!(bench.folder.path().join("results/description.toml").is_file());
}

#[test]
fn pinned_what_is_no_description_is_refused_in_words() {
    let bench = Bench::new();
    std::fs::create_dir(bench.folder.path().join("folder")).unwrap();
    for (arguments, want, part) in [
        (&["judge", "folder"][..], 4, "name the description in it"),
        (&["judge", "-"], 2, "standard input is not read"),
        (&["capture", "-"], 2, "standard input is not read"),
        (&["starter", "."], 4, "name the file to write"),
        (&["starter", "--json"], 2, "--json"),
        (&["schema", "--json"], 2, "--json"),
        (&["shape", "harmonics", "3:6.5:0deg"], 2, "did you mean 6.5 %?"),
        (&["judge", "--require", "AVERAGE CLAMP"], 2, "did you mean \"average clamp\"?"),
    ] {
        let output = bench.run(arguments);
        assert_eq!(code(&output), want, "{arguments:?}: {}", text(&output.stderr));
        assert!(text(&output.stderr).contains(part), "{arguments:?}: {}", text(&output.stderr));
    }
    #[cfg(unix)]
    {
        let output = bench.run(&["judge", "/dev/zero"]);
        assert_eq!(code(&output), 2);
        assert!(text(&output.stderr).contains("at most"), "{}", text(&output.stderr));
    }
}

#[cfg(unix)]
#[test]
fn pinned_new_files_follow_the_umask() {
    use std::os::unix::fs::PermissionsExt;
    let bench = Bench::new();
    bench.write("plain", "");
    let mode = |name: &str| {
        std::fs::metadata(bench.folder.path().join(name)).unwrap().permissions().mode() & 0o777
    };
    assert_eq!(code(&bench.run(&["starter", "bench.toml"])), 0);
    assert_eq!(mode("bench.toml"), mode("plain"));
    bench.write("drawn.toml", DRAWN);
    assert_eq!(code(&bench.run(&["judge", "drawn.toml", "--out", "results"])), 0);
    std::fs::create_dir(bench.folder.path().join("folder")).unwrap();
    assert_eq!(mode("results"), mode("folder"));
}

#[test]
fn pinned_a_capture_without_a_verdict_says_why() {
    let bench = Bench::new();
    let record = |scale: &dyn Fn(f64) -> f64| -> String {
        let rows: String = recorded_sine(|a| format!("{a:.9}"))
            .map(|(t, a)| format!("{t},{:.6}\n", scale(t) * a.parse::<f64>().unwrap()))
            .collect();
        format!("time (s),current (A)\n{rows}")
    };
    // Every second period a fifth smaller: no stretch of it is steady.
    let halting = |t: f64| if ((60.0 * t) as u32).is_multiple_of(2) { 1.0 } else { 0.8 };
    bench.write("halting.csv", &record(&halting));
    let output = bench.run(&["capture", "halting.csv", "--step", "5"]);
    let shown = text(&output.stdout);
    assert_eq!(code(&output), 1, "{shown}{}", text(&output.stderr));
    assert!(shown.contains("NO VERDICT"), "{shown}");

    // 6.6 A times 0.7 is 4.62 A: 11 % under 5.2 A and 13 % over 4.1 A.
    bench.write("between.csv", &record(&|_| 0.7));
    let output = bench.run(&["capture", "between.csv", "--json"]);
    assert_eq!(code(&output), 0, "{}", text(&output.stderr));
    let json: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    assert!(json["step"]["placement"].is_null(), "{}", json["step"]);
    assert_eq!(json["step"]["no_verdict"], "no step near");

    bench.write("good.csv", &record(&|_| 1.0));
    let output = bench.run(&["capture", "good.csv", "--step", "5"]);
    assert_eq!(code(&output), 0);
    let shown = text(&output.stdout);
    assert!(shown.contains("IN BAND") && shown.contains("at 2000 Hz"), "{shown}");

    // What the reader finds wrong is said in this program's options.
    bench.write("volts.csv", &record(&|_| 1.0).replace("(A)", "(V)"));
    let output = bench.run(&["capture", "volts.csv"]);
    assert_eq!(code(&output), 2);
    assert!(text(&output.stderr).contains("--clamp"), "{}", text(&output.stderr));
}

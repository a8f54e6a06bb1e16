//! The logbook as a user meets it: what its commands print, and how they end.

use std::path::Path;
use std::process::{Command, Output};

use crate::support::program::text;
use crate::support::visits;

fn program(folder: &Path, arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_loopcrest"));
    command
        .args(arguments)
        .current_dir(folder)
        .env("NO_COLOR", "1")
        .env_remove("LOOPCREST_LOGBOOK")
        .env("LOOPCREST_CLOCK", "2026-11-25T09:00:00Z");
    command
}

fn run(folder: &Path, arguments: &[&str]) -> Output {
    program(folder, arguments).output().unwrap()
}

/// Everything printed, with the commands, as on a screen.
fn printed(folder: &Path, commands: &[&[&str]]) -> String {
    let mut all = String::new();
    for arguments in commands {
        let output = run(folder, arguments);
        let quoted: Vec<String> = arguments
            .iter()
            .map(|word| if word.contains(' ') { format!("\"{word}\"") } else { (*word).to_owned() })
            .collect();
        all += &format!("$ loopcrest {}\n", quoted.join(" "));
        all += &text(&output.stdout);
        all += &text(&output.stderr);
        let code = output.status.code().unwrap();
        all += &if code == 0 { "\n".to_owned() } else { format!("(exit code {code})\n\n") };
    }
    all
}

const BY: [&str; 2] = ["--by", "A. Person"];

fn add<'a>(rest: &[&'a str]) -> Vec<&'a str> {
    ["logbook", "add"].into_iter().chain(rest.iter().copied()).chain(BY).collect()
}

#[test]
fn pinned_logbook_commands_tell_one_story() {
    let place = tempfile::tempdir().unwrap();
    let folder = place.path();
    assert!(run(folder, &["starter", "bench.toml"]).status.success());
    let story: Vec<Vec<&str>> = vec![
        vec!["logbook", "visits"],
        add(&["regulator", "R-7", "bench.toml", "--place", "vault 3"]),
        add(&["meter", "M-1", "--sheet", "general-true-rms-clamp", "--serial", "48-113"]),
        add(&["certificate", "M-2", "2026-114", "--date", "2026-02-03", "--uncertainty", "0.4%"]),
        add(&["certificate", "M-1", "2026-114", "--date", "2026-02-03", "--uncertainty", "0.4%"]),
        vec!["logbook", "correct", "1", "name=R-07", "remark=by the east door", BY[0], BY[1]],
        add(&["circuit", "C-3", "--regulator", "R-07", "--lights", "runway edge 09/27"]),
        vec!["logbook", "correct", "1", "name=R-08", BY[0], BY[1]],
        add(&["remark", "key of vault 3 is at the tower"]),
        vec!["logbook", "withdraw", "6", "it is not", BY[0], BY[1]],
        vec!["logbook", "equipment"],
        vec!["logbook", "visits"],
        vec!["logbook", "show", "6"],
        vec!["logbook", "show", "77"],
        vec!["logbook", "verify"],
        vec!["logbook", "recompute"],
        vec!["logbook", "export", "all.jsonl"],
        vec!["logbook", "export", "all.jsonl"],
        vec!["logbook", "export", "all.txt"],
        vec!["logbook", "export", "readings.csv", "--readings"],
        vec!["logbook", "import", "all.jsonl"],
        vec!["logbook", "import", "all.jsonl", "--logbook", "copy.sqlite"],
        vec!["logbook", "backup", "backup.sqlite"],
    ];
    let story: Vec<&[&str]> = story.iter().map(Vec::as_slice).collect();
    let got = without_hashes(&printed(folder, &story));
    let wide: Vec<&str> =
        got.lines().filter(|line| !line.starts_with('$') && line.chars().count() > 80).collect();
    // What an error says is not folded: the terminal does that.
    assert!(wide.iter().all(|line| line.contains("error:") || line.contains("hint:")), "{wide:?}");
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/pinned/printed/logbook.txt");
    if std::env::var_os("LOOPCREST_STORE").is_some() {
        std::fs::write(&file, &got).unwrap();
    }
    assert_eq!(got, std::fs::read_to_string(&file).unwrap_or_default(), "logbook.txt differs");
}

#[test]
fn pinned_logbook_documents_follow_the_schema() {
    let place = tempfile::tempdir().unwrap();
    let folder = place.path();
    assert!(run(folder, &["starter", "bench.toml"]).status.success());
    let schema: serde_json::Value =
        serde_json::from_slice(&run(folder, &["schema"]).stdout).unwrap();
    let document = |arguments: &[&str]| -> serde_json::Value {
        let output = run(folder, &[arguments, &["--json"]].concat());
        assert_eq!(output.status.code(), Some(0), "{arguments:?}: {}", text(&output.stderr));
        let document: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
        let described = schema["oneOf"]
            .as_array()
            .unwrap()
            .iter()
            .any(|one| one["properties"]["kind"]["const"] == document["kind"]);
        assert!(described, "the schema does not describe {}", document["kind"]);
        document
    };
    let added = document(&add(&["regulator", "R-07", "bench.toml", "--place", "vault 3"]));
    assert_eq!(added["is_new_logbook"], true);
    assert_eq!(added["entry"]["at"], "2026-11-25T09:00:00Z");
    assert_eq!(document(&["logbook", "visits"])["visits"], serde_json::json!([]));
    assert_eq!(document(&["logbook", "equipment"])["regulators"][0]["name"], "R-07");
    let shown = document(&["logbook", "show", "1"]);
    assert_eq!(shown["entry"]["entry"]["place"], "vault 3");
    let found = document(&["logbook", "verify"]);
    assert_eq!((&found["holds"], &found["entries"]), (&true.into(), &1.into()));
    assert_eq!(found["head"]["hash"], shown["entry"]["hash"]);
    assert_eq!(document(&["logbook", "recompute"])["same"], 0);
    assert_eq!(document(&["logbook", "export", "all.csv"])["head"]["number"], 1);
    assert_eq!(document(&["logbook", "backup", "b.sqlite"])["head"]["hash"], found["head"]["hash"]);
}

/// Two visits to a regulator with a drawn sine and a meter of 0.5 %: set right in 2024 and 2025, found
/// 0.04 A higher on step 5 a year later, the other steps unmoved.
fn two_visits(folder: &Path) {
    let description = visits::SINE
        .replace("[[meter]]\nname = \"any\"\ndetector = \"true-rms\"\n", visits::PLAIN_SHEET);
    std::fs::write(folder.join("bench.toml"), description).unwrap();
    let procedure = "format = 1\ntitle = \"t\"\n[[stage]]\nkey = \"s\"\ntitle = \"s\"\n\
        [[stage.item]]\nkey = \"short\"\nkind = \"confirm\"\nconnects = \"shorted\"\ntext = \"x\"\n\
        [[stage.item]]\nkey = \"read\"\nkind = \"read\"\noutput = \"shorted\"\n\
        moments = [\"as-found\", \"as-left\"]\ntext = \"x\"\nafter = [\"short\"]\n\
        [[stage.item]]\nkey = \"end\"\nkind = \"close\"\ntext = \"x\"\n";
    std::fs::write(folder.join("p.toml"), procedure).unwrap();
    let added = run(folder, &add(&["regulator", "R-07", "bench.toml", "--place", "vault 3"]));
    assert!(added.status.success(), "{}", text(&added.stderr));
    for (day, found) in [("2024-11-25", "6.60"), ("2025-11-25", "6.64")] {
        let mut rows = "step,moment,output,shown,item,answer,after\n,,,,short,yes,\n".to_owned();
        for (step, nominal) in [(5, "6.60"), (4, "5.20"), (3, "4.10"), (2, "3.40"), (1, "2.80")] {
            let found = if step == 5 { found } else { nominal };
            rows += &format!(
                "{step},as-found,shorted,{found},,,\n{step},as-left,shorted,{nominal},,,\n"
            );
        }
        std::fs::write(folder.join("readings.csv"), rows + ",,,,end,yes,\n").unwrap();
        let visit = [
            "calibrate",
            "--regulator",
            "R-07",
            "--readings",
            "readings.csv",
            "--procedure",
            "p.toml",
            "--day",
            day,
            "--logbook",
            "loopcrest-logbook.sqlite",
        ];
        let output = run(folder, &[&visit[..], &BY[..]].concat());
        assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    }
}

/// What `history`, `due` and `doubt` say of two visits, against what is worked by hand.
#[test]
fn pinned_history_due_and_doubt_of_two_visits() {
    let place = tempfile::tempdir().unwrap();
    let folder = place.path();
    two_visits(folder);
    let document = |arguments: &[&str], code: i32| -> serde_json::Value {
        let output = run(folder, &[&["logbook"], arguments, &["--json"]].concat());
        assert_eq!(output.status.code(), Some(code), "{arguments:?}: {}", text(&output.stderr));
        serde_json::from_slice(&output.stdout).unwrap()
    };
    let history = document(&["history", "R-07"], 0);
    let steps = history["steps"].as_array().unwrap();
    assert_eq!(steps.len(), 5, "read with the output shorted alone");
    let number = |part: &serde_json::Value, name: &str| part[name].as_f64().unwrap();
    let top = steps.iter().find(|part| part["step"] == 5).unwrap();
    // 0.04 A in the 365 days between: one slope through the last as-left and the next as-found.
    assert!((number(top, "drift_a_per_year") - 0.04).abs() < 2e-4, "{top}");
    let low = steps.iter().find(|part| part["step"] == 1).unwrap();
    assert!(number(low, "drift_a_per_year").abs() < 1e-9, "{low}");
    let output = run(folder, &["logbook", "history", "R-07", "--step", "5"]);
    let said = text(&output.stdout);
    let row = said.lines().find(|line| line.trim_start().starts_with("5 ")).unwrap();
    assert!(row.contains("40.0") && row.contains("6.600"), "{said}");
    let unknown = run(folder, &["logbook", "history", "R-08"]);
    assert_eq!(unknown.status.code(), Some(2));
    assert!(text(&unknown.stderr).contains("knows no regulator R-08"));

    // A year after the last visit; sooner by what drifts out of its band with less than 95 %.
    let due = document(&["due", "--today", "2026-11-26"], 1);
    assert_eq!(due["regulators"][0]["is_due"], true);
    let due = document(&["due", "--today", "2025-12-01", "--interval", "3 months"], 0);
    assert_eq!(due["regulators"][0]["day"], "2026-02-25");
    let said = text(&run(folder, &["logbook", "due", "--today", "2026-11-26"]).stdout);
    assert!(said.contains("R-07"), "{said}");

    // 2.1 % too much shown: 6.60 A was 6.464 A, inside 6.40 to 6.70; 5.20 A was 5.093 A, inside
    // 5.04 to 5.36; 4.10 A was 4.016, inside 3.98 to 4.22; 3.40 A was 3.330, inside 3.30 to 3.50; 2.80 A
    // was 2.742, inside 2.72 to 2.88.
    let meter =
        ["doubt", "--meter", "vault clamp 2", "--from", "2024-01-01", "--reason", "read high"];
    let ask =
        |until: &'static str, error: &'static str, more: &[&'static str]| -> Vec<&'static str> {
            meter.iter().chain(&["--until", until, "--error", error]).chain(more).copied().collect()
        };
    let touched = document(&ask("2026-01-01", "2.1%", &["--try"]), 0);
    assert_eq!(touched["readings"].as_array().unwrap().len(), 20);
    assert_eq!(touched["wrongly_accepted"], 0);
    let first = &touched["readings"][0];
    assert!((number(first, "was_a") - 6.60 / 1.021).abs() < 1e-9, "{first}");
    assert_eq!(
        document(&ask("2025-01-01", "2.1%", &["--try"]), 0)["readings"].as_array().unwrap().len(),
        10
    );
    // 4 % too much: 6.60 A was 6.346 A, below 6.40; every step left its band.
    let touched = document(&ask("2026-01-01", "4%", &["--by", "A. Person"]), 1);
    assert!(touched["wrongly_accepted"].as_u64().unwrap() > 0, "{touched}");
    let entry = touched["entry"].as_u64().unwrap().to_string();
    let shown = text(&run(folder, &["logbook", "show", &entry]).stdout);
    assert!(shown.contains("read high"), "{shown}");
}

/// What is wrong with an entry is said before a logbook is begun for it.
#[test]
fn pinned_a_wrong_entry_begins_no_logbook() {
    let place = tempfile::tempdir().unwrap();
    let folder = place.path();
    std::fs::write(folder.join("bad.toml"), "title = 3\n").unwrap();
    let place_args = ["--place", "vault 3"];
    for (arguments, code, words) in [
        (add(&[&["regulator", "R-07", "bad.toml"][..], &place_args].concat()), 2, "bad.toml:1"),
        (add(&[&["regulator", "R-07", "none.toml"][..], &place_args].concat()), 4, "none.toml"),
        (add(&["meter", "M-1", "--sheet", "general-true-rms-clmp"]), 2, "general-true-rms-clamp"),
        (add(&["meter", " ", "--sheet", "general-true-rms-clamp"]), 2, "name of a meter"),
        (add(&["circuit", "C-3", "--regulator", "R-07", "--lights", "x"]), 2, "no regulator yet"),
        (add(&["remark", ""]), 2, "empty"),
        (vec!["logbook", "add", "remark", "by nobody"], 2, "--by NAME"),
    ] {
        let output = run(folder, &arguments);
        let said = text(&output.stderr);
        assert_eq!(output.status.code(), Some(code), "{arguments:?}: {said}");
        assert!(said.contains(words), "{arguments:?}: {said}");
    }
    let left: Vec<_> = std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().file_name()).collect();
    assert_eq!(left, ["bad.toml"]);
}

/// The clock of the machine, set back; and a variable that holds no time.
#[test]
fn pinned_a_clock_set_back_is_said_with_both_times() {
    let place = tempfile::tempdir().unwrap();
    let folder = place.path();
    let at = |time: &str, more: &[&str]| {
        let arguments = add(&["remark", "rain"]);
        program(folder, &[&arguments[..], more].concat())
            .env("LOOPCREST_CLOCK", time)
            .output()
            .unwrap()
    };
    assert!(at("2026-11-25T09:00:00Z", &[]).status.success());
    let output = at("2026-11-24T09:00:00Z", &[]);
    assert_eq!(output.status.code(), Some(2));
    for word in ["2026-11-24T09:00:00Z", "2026-11-25T09:00:00Z", "--despite-clock"] {
        assert!(text(&output.stderr).contains(word), "{}", text(&output.stderr));
    }
    assert!(at("2026-11-24T09:00:00Z", &["--despite-clock"]).status.success());
    let output = at("yesterday", &[]);
    assert_eq!(output.status.code(), Some(2));
    assert!(text(&output.stderr).contains("LOOPCREST_CLOCK"), "{}", text(&output.stderr));
    let output = run(folder, &["logbook", "show", "3"]);
    assert!(text(&output.stdout).contains("written all the same"), "{}", text(&output.stdout));
}

#[test]
fn pinned_a_logbook_that_was_changed_ends_with_1() {
    let place = tempfile::tempdir().unwrap();
    let folder = place.path();
    assert!(run(folder, &add(&["remark", "rain"])).status.success());
    assert!(run(folder, &add(&["remark", "sun"])).status.success());
    let file = folder.join("loopcrest-logbook.sqlite");
    rusqlite::Connection::open(&file)
        .unwrap()
        .execute_batch(
            "DROP TRIGGER entry_never_changed; \
             UPDATE entry SET json = replace(json, 'sun', 'ice') WHERE number = 2",
        )
        .unwrap();
    let output = run(folder, &["logbook", "verify"]);
    let said = text(&output.stdout);
    assert_eq!(output.status.code(), Some(1), "{said}");
    for words in ["NOT as it was written", "entry 2", "entry_never_changed"] {
        assert!(said.contains(words), "{words}: {said}");
    }
    std::fs::write(&file, "not a database, and long enough to be read as one ".repeat(3)).unwrap();
    let output = run(folder, &["logbook", "verify"]);
    assert_eq!(output.status.code(), Some(4));
    assert!(text(&output.stderr).contains("no logbook"), "{}", text(&output.stderr));
}

/// A hash covers the whole description, remarks included: its digits are checked elsewhere.
fn without_hashes(printed: &str) -> String {
    let digits = |part: &str| part.len() == 64 && part.bytes().all(|byte| byte.is_ascii_hexdigit());
    let parts = printed.split_inclusive([' ', '\n']);
    let masked = parts.map(|part| {
        let bare = part.trim_end();
        if digits(bare) { part.replace(bare, "(64 digits)") } else { part.to_owned() }
    });
    masked.collect()
}

/// A regulator whose step was left outside its band is due at once and says "outside now"; a day entered
/// at the end counts; a meter in doubt and an entry that was changed are told before anything else.
#[test]
fn pinned_what_was_left_wrong_is_due() {
    let place = tempfile::tempdir().unwrap();
    let folder = place.path();
    let sheet = visits::PLAIN_SHEET;
    let description =
        visits::SINE.replace("[[meter]]\nname = \"any\"\ndetector = \"true-rms\"\n", sheet);
    std::fs::write(folder.join("bench.toml"), description).unwrap();
    let procedure = "format = 1\ntitle = \"short\"\n[[stage]]\nkey = \"s\"\ntitle = \"S\"\n\
        [[stage.item]]\nkey = \"end\"\nkind = \"close\"\ntext = \"Close.\"\n";
    std::fs::write(folder.join("short.toml"), procedure).unwrap();
    let visit = |day: &str, shown: &str, end: &str| {
        let rows = format!(
            "step,moment,output,shown,item,answer,after\n5,as-left,shorted,{shown},,,\n\
             ,,,,end,yes,\n"
        );
        std::fs::write(folder.join("readings.csv"), rows).unwrap();
        let by = ["--regulator", "R-07", "--by", "A. Person", "--day", day];
        let files = ["--readings", "readings.csv", "--procedure", "short.toml"];
        let output = run(folder, &[&["calibrate", "bench.toml"], &files[..], &by[..]].concat());
        assert!(text(&output.stdout).contains(end), "{}", text(&output.stderr));
    };
    let added = run(folder, &add(&["regulator", "R-07", "bench.toml", "--place", "vault 3"]));
    assert!(added.status.success());
    visit("2026-11-25", "6.90", "is closed");
    let today = ["--today", "2026-11-26"];
    let due = |code: i32| {
        let output = run(folder, &[&["logbook", "due"], &today[..]].concat());
        assert_eq!(output.status.code(), Some(code), "{}", text(&output.stderr));
        text(&output.stdout).split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let history = || text(&run(folder, &["logbook", "history", "R-07"]).stdout);
    let said = due(1);
    assert!(said.contains("due at once: step 5, output shorted, was left outside"), "{said}");
    assert!(said.contains("Qualified persons only"), "{said}");
    assert!(history().contains("outside now"), "{}", history());

    // Put right: the interval, unless an earlier day was entered.
    visit("2026-11-26", "6.60", "is closed");
    assert!(due(0).contains("due 2027-11-26, by the interval"));
    assert!(!history().contains("outside now"));
    let rows = text(&run(folder, &["logbook", "visits"]).stdout);
    let number = rows.lines().find(|line| line.contains("2026-11-26")).unwrap();
    let number = number.split_whitespace().next().unwrap().to_owned();
    let shown = text(&run(folder, &["logbook", "show", &number]).stdout);
    let closing = shown.lines().find(|line| line.contains("closed, complete")).unwrap();
    let closing = closing.split_whitespace().next().unwrap().to_owned();
    let entered = ["logbook", "correct", &closing, "next_due=2026-12-20", BY[0], BY[1]];
    assert!(run(folder, &entered).status.success());
    let said = due(0);
    assert!(said.contains("due 2026-12-20, as entered when visit"), "{said}");

    // The decimal comma of a correction is one here too, where a number was absent before.
    let ambient = ["logbook", "correct", &number, "conditions.ambient_degc=21,5", BY[0], BY[1]];
    let output = run(folder, &ambient);
    assert!(output.status.success(), "{}", text(&output.stderr));

    let span = ["--from", "2026-11-01", "--until", "2026-12-31"];
    let reason = ["--error", "5%", "--reason", "jaw cracked", BY[0], BY[1]];
    let doubt =
        [&["logbook", "doubt", "--meter", "vault clamp 2"], &span[..], &reason[..]].concat();
    assert_eq!(run(folder, &doubt).status.code(), Some(1));
    let said = due(1);
    assert!(said.contains("IN DOUBT (vault clamp 2): due at once"), "{said}");

    let store = rusqlite::Connection::open(folder.join("loopcrest-logbook.sqlite")).unwrap();
    let changed = "DROP TRIGGER entry_never_changed; \
                   UPDATE entry SET json = replace(json, '6.6', '6.5') WHERE kind = 'reading'";
    store.execute_batch(changed).unwrap();
    drop(store);
    for arguments in [&["logbook", "history", "R-07"][..], &add(&["remark", "dry again"])] {
        let output = run(folder, arguments);
        let told = text(&output.stderr);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}: {told}");
        assert!(told.contains("NOT as it was written"), "{told}");
    }
    let output = run(folder, &["logbook", "record", &number, "--out", "record"]);
    assert_eq!(output.status.code(), Some(1), "{}", text(&output.stderr));
    assert!(text(&output.stdout).contains("NOT as it was written"), "{}", text(&output.stdout));
}

//! A logbook in bad times: the program killed at any moment, no room left, a file or folder that may
//! not be written. The real program throughout. (Killing a program is not losing power: what the disk
//! does then is the disk's, and is asked for by SQLite's own full synchronisation.)
#![cfg(unix)]

use std::os::unix::process::CommandExt;
use std::path::Path;
use std::process::{Command, Output, Stdio};
use std::time::{Duration, Instant};

use loopcrest::logbook::Logbook;
use rand::{RngExt, SeedableRng};

use crate::support::program::text;

const PROGRAM: &str = env!("CARGO_BIN_EXE_loopcrest");

fn shell(folder: &Path, script: &str) -> Command {
    let mut command = Command::new("sh");
    command
        .args(["-c", script])
        .current_dir(folder)
        .env("PROGRAM", PROGRAM)
        .env("NO_COLOR", "1")
        .env_remove("LOOPCREST_LOGBOOK")
        .env_remove("LOOPCREST_CLOCK");
    command
}

fn add(folder: &Path, text: &str) -> Output {
    shell(folder, "exec \"$PROGRAM\" logbook add remark \"$0\" --by \"A. Person\"")
        .arg(text)
        .output()
        .unwrap()
}

/// Numbers the program said it had written.
fn promised(said: &str) -> Vec<u64> {
    // A line that was cut off by the kill promises nothing.
    let whole = &said[..said.rfind('\n').map_or(0, |end| end + 1)];
    whole
        .lines()
        .filter_map(|line| line.strip_prefix("entry ")?.split(':').next()?.parse().ok())
        .collect()
}

/// A program that writes one entry after the other is killed 100 times at random moments, from before
/// its start to after its end. Every entry it said it had written is there, numbers have no gaps, and
/// all of the logbook is sound each time.
#[test]
fn law_killed_at_any_moment_nothing_promised_is_lost() {
    const KILLS: u32 = 100;
    let place = tempfile::tempdir().unwrap();
    let file = place.path().join("loopcrest-logbook.sqlite");
    let said = place.path().join("said.txt");
    // How long one entry takes here and now, so that the kills fall all over it.
    let start = Instant::now();
    assert!(add(place.path(), "first").status.success());
    let one_s = start.elapsed().as_secs_f64();
    let mut random = rand_chacha::ChaCha8Rng::seed_from_u64(11);
    let mut last = 1;
    let (mut quiet, mut written) = (0, 0);
    for kill in 0..KILLS {
        let out = std::fs::File::create(&said).unwrap();
        let mut writer = shell(
            place.path(),
            "while :; do \"$PROGRAM\" logbook add remark again --by \"A. Person\"; done",
        )
        .stdout(out)
        .stderr(Stdio::null())
        .process_group(0)
        .spawn()
        .unwrap();
        std::thread::sleep(Duration::from_secs_f64(random.random_range(0.0..2.2) * one_s));
        // The whole group: the shell and the program it runs.
        let group = format!("-{}", writer.id());
        let ended = Command::new("kill").args(["-9", "--", &group]).status().unwrap();
        assert!(ended.success());
        writer.wait().unwrap();
        // What was in the middle of a call to the system ends it before it dies: it holds the lock.
        let store = rusqlite::Connection::open(&file).unwrap();
        store.busy_timeout(Duration::from_secs(60)).unwrap();
        store.execute_batch("BEGIN IMMEDIATE; ROLLBACK").unwrap();
        drop(store);
        let promised = promised(&std::fs::read_to_string(&said).unwrap());
        let logbook = Logbook::open(&file).unwrap();
        let head = logbook.head().unwrap().unwrap().number;
        let sure = promised.last().copied().unwrap_or(last);
        // One entry may be written and not yet said.
        assert!((sure..=sure + 1).contains(&head), "kill {kill}: said {sure}, found {head}");
        let want: Vec<u64> = (last + 1..=sure).collect();
        assert_eq!(promised, want, "kill {kill}");
        let found = logbook.verify(None).unwrap();
        assert!(found.holds(), "kill {kill}: {found:?}");
        quiet += u32::from(head == last);
        written += head - last;
        last = head;
    }
    assert!(quiet < KILLS && written > 20, "{quiet} kills before anything, {written} written");
    assert!(add(place.path(), "after it all").status.success());
}

/// A logbook that is being made from an export is there whole or not at all.
#[test]
fn law_a_killed_import_leaves_no_half_logbook() {
    let place = tempfile::tempdir().unwrap();
    let export = place.path().join("all.jsonl");
    let mut logbook = crate::support::entries::memory();
    for _ in 0..1500 {
        use loopcrest::procedure::{Entry, Journal};
        logbook.append(None, None, Entry::Remark { text: "rain ".repeat(60) }).unwrap();
    }
    logbook.export(&export, loopcrest::logbook::ExportFormat::JsonLines).unwrap();
    let import = "exec \"$PROGRAM\" logbook import all.jsonl --logbook new.sqlite";
    let file = place.path().join("new.sqlite");
    let start = Instant::now();
    assert!(shell(place.path(), import).output().unwrap().status.success());
    let whole_s = start.elapsed().as_secs_f64();
    let mut random = rand_chacha::ChaCha8Rng::seed_from_u64(12);
    let (mut whole, mut none) = (0, 0);
    for _ in 0..25 {
        std::fs::remove_file(&file).unwrap_or_default();
        let mut importer = shell(place.path(), import).stdout(Stdio::null()).spawn().unwrap();
        std::thread::sleep(Duration::from_secs_f64(random.random_range(0.0..1.2) * whole_s));
        importer.kill().unwrap();
        importer.wait().unwrap();
        if file.exists() {
            let logbook = Logbook::open(&file).unwrap();
            assert_eq!(logbook.head().unwrap().unwrap().number, 1500);
            assert!(logbook.verify(None).unwrap().holds());
            whole += 1;
        } else {
            none += 1;
        }
    }
    assert!(none > 0, "{whole} whole, {none} none");
}

/// A limit on the size of files stands for a disk without room: nothing is lost, nothing half-written,
/// and writing goes on when there is room again.
#[test]
fn law_without_room_nothing_is_lost() {
    let place = tempfile::tempdir().unwrap();
    for number in 0..3 {
        assert!(add(place.path(), &format!("before {number}")).status.success());
    }
    let file = place.path().join("loopcrest-logbook.sqlite");
    // 40 or 80 kB, as the shell counts blocks: room to begin, none for an entry of 100 kB.
    let script = "trap '' XFSZ; ulimit -f 80; \
                  exec \"$PROGRAM\" logbook add remark \"$0\" --by \"A. Person\"";
    let long = "rain ".repeat(20_000);
    let output = shell(place.path(), script).arg(&long).output().unwrap();
    let said = text(&output.stderr);
    assert_eq!(output.status.code(), Some(4), "{said}");
    for words in ["loopcrest-logbook.sqlite", "nothing of this was written", "hint:"] {
        assert!(said.contains(words), "{words}: {said}");
    }
    let logbook = Logbook::open(&file).unwrap();
    assert_eq!(logbook.head().unwrap().unwrap().number, 3);
    assert!(logbook.verify(None).unwrap().holds());
    drop(logbook);
    assert!(add(place.path(), &long).status.success());
    assert_eq!(Logbook::open(&file).unwrap().head().unwrap().unwrap().number, 4);
}

/// A disk that is full for real, where this machine lets a small one be made.
#[test]
fn law_on_a_full_disk_nothing_is_lost() {
    let place = tempfile::tempdir().unwrap();
    let disk = place.path().join("disk");
    std::fs::create_dir(&disk).unwrap();
    let mounted = Command::new("mount")
        .args(["-t", "tmpfs", "-o", "size=512k", "none"])
        .arg(&disk)
        .stderr(Stdio::null())
        .status();
    if !mounted.is_ok_and(|status| status.success()) {
        eprintln!(
            "SKIPPED: no small disk can be made here; a limit on the size of files is tested"
        );
        return;
    }
    let outcome = std::panic::catch_unwind(|| {
        let mut written = 0;
        let refused = loop {
            let output = add(&disk, &"rain ".repeat(2000));
            if !output.status.success() {
                break output;
            }
            written += 1;
            assert!(written < 200, "the disk never fills");
        };
        let said = text(&refused.stderr);
        assert_eq!(refused.status.code(), Some(4), "{said}");
        assert!(said.contains("disk is full") || said.contains("is it full"), "{said}");
        let file = disk.join("loopcrest-logbook.sqlite");
        let logbook = Logbook::open_read_only(&file).unwrap();
        assert_eq!(logbook.head().unwrap().unwrap().number, written);
        assert!(logbook.verify(None).unwrap().holds());
        assert!(written > 3, "{written}");
    });
    let freed = Command::new("umount").arg(&disk).status().unwrap();
    assert!(freed.success());
    if let Err(panic) = outcome {
        std::panic::resume_unwind(panic);
    }
}

/// A logbook in a folder that may not be written is read, and not written to. Root may write
/// anywhere, so as root the program runs as nobody.
#[test]
fn law_what_may_only_be_read_is_read_and_not_written() {
    use std::os::unix::fs::{MetadataExt, PermissionsExt};
    let place = tempfile::tempdir().unwrap();
    for number in 0..3 {
        assert!(add(place.path(), &format!("before {number}")).status.success());
    }
    let file = place.path().join("loopcrest-logbook.sqlite");
    let mode = |path: &Path, bits| {
        std::fs::set_permissions(path, std::fs::Permissions::from_mode(bits)).unwrap();
    };
    mode(&file, 0o444);
    mode(place.path(), 0o555);
    let is_root = std::fs::metadata("/proc/self").is_ok_and(|about| about.uid() == 0);
    let run = |arguments: &[&str]| {
        let mut command = Command::new(PROGRAM);
        command.args(arguments).current_dir(place.path()).env_remove("LOOPCREST_LOGBOOK");
        if is_root {
            command.uid(65_534).gid(65_534);
        }
        command.output()
    };
    let outcome = std::panic::catch_unwind(|| {
        let Ok(read) = run(&["logbook", "verify"]) else {
            eprintln!("SKIPPED: the program cannot be run as nobody here");
            return;
        };
        let said = text(&read.stdout) + &text(&read.stderr);
        assert_eq!(read.status.code(), Some(0), "{said}");
        assert!(said.contains("3 entries"), "{said}");
        let output = run(&["logbook", "add", "remark", "x", "--by", "A. Person"]).unwrap();
        let said = text(&output.stderr);
        assert_eq!(output.status.code(), Some(4), "{said}");
        for words in ["loopcrest-logbook.sqlite", "permissions"] {
            assert!(said.contains(words), "{words}: {said}");
        }
    });
    mode(place.path(), 0o755);
    mode(&file, 0o644);
    if let Err(panic) = outcome {
        std::panic::resume_unwind(panic);
    }
    assert_eq!(Logbook::open(&file).unwrap().head().unwrap().unwrap().number, 3);
}

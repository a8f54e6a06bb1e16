//! Sweeps as tables: the same bytes however they were made.

use std::path::Path;

use loopcrest::description::Tolerance;
use loopcrest::study::{Axis, Design, Part, Progress, Sweep, SweepEnd, VariedCircuit};
use proptest::prelude::*;

use super::study::on_share;

const FORMATS: [&str; 3] = ["csv", "jsonl", "parquet"];

/// Stops as soon as so many circuits are done.
#[derive(Debug)]
struct StopAt {
    at: u64,
    done: u64,
}

impl Progress for StopAt {
    fn show(&mut self, done: u64, _total: u64) {
        self.done = done;
    }

    fn is_stopped(&self) -> bool {
        self.done >= self.at
    }
}

/// A random sample of 150 circuits at two steps, or a part of it, written to a file.
fn run(out: &Path, part: Part, seed: u64, progress: &mut dyn Progress) -> SweepEnd {
    try_run(out, part, seed, progress).unwrap()
}

fn try_run(
    out: &Path,
    part: Part,
    seed: u64,
    progress: &mut dyn Progress,
) -> loopcrest::error::Result<SweepEnd> {
    let description = on_share(0.6);
    let circuit = VariedCircuit::new(&description, &[4, 2]).unwrap();
    let design = Design::sample(Tolerance::in_use(&description), seed, 150).unwrap();
    Sweep::new(&description, &circuit, design, part).run(out, progress)
}

fn bytes(file: &Path) -> Vec<u8> {
    std::fs::read(file).unwrap()
}

fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<_> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    names
}

#[test]
fn law_a_sweep_does_not_depend_on_threads_or_interruptions() {
    for format in FORMATS {
        let place = tempfile::tempdir().unwrap();
        let whole = place.path().join(format!("whole.{format}"));
        let end = run(&whole, Part::WHOLE, 1, &mut ());
        assert_eq!(end, SweepEnd { circuits: 150, found: 0, done: 150 });
        let pool = rayon::ThreadPoolBuilder::new().num_threads(1).build().unwrap();
        let alone = place.path().join(format!("alone.{format}"));
        pool.install(|| run(&alone, Part::WHOLE, 1, &mut ()));
        assert_eq!(bytes(&whole), bytes(&alone), "{format}: threads");
        // Stopped twice: what is there is whole circuits, and the rerun goes on from them.
        let stopped = place.path().join(format!("stopped.{format}"));
        let first = run(&stopped, Part::WHOLE, 1, &mut StopAt { at: 20, done: 0 });
        assert!(first.done >= 20 && first.done < 150, "{first:?}");
        if format != "parquet" {
            let (part, all) = (bytes(&stopped), bytes(&whole));
            assert!(all.starts_with(&part), "{format}: the beginning of the whole");
            let lines = part.iter().filter(|byte| **byte == b'\n').count() as u64;
            assert_eq!(lines, 2 * first.done + u64::from(format == "csv"));
        }
        let second = run(&stopped, Part::WHOLE, 1, &mut StopAt { at: 90, done: 0 });
        assert_eq!(second.found, first.done);
        let last = run(&stopped, Part::WHOLE, 1, &mut ());
        assert_eq!((last.found, last.is_complete()), (second.done, true));
        assert_eq!(bytes(&whole), bytes(&stopped), "{format}: interruptions");
        // Run once more: nothing to do, nothing changed.
        assert_eq!(run(&stopped, Part::WHOLE, 1, &mut ()).found, 150);
        assert_eq!(bytes(&whole), bytes(&stopped));
        let ending = |name: &String| name.ends_with(".rows") || name.ends_with(".unfinished");
        assert!(!names(place.path()).iter().any(ending), "{:?}", names(place.path()));
    }
}

/// Cut off at any byte, as a machine that lost its power might leave it, a text table goes on to the
/// same bytes.
#[test]
fn law_a_torn_table_goes_on_from_its_last_whole_circuit() {
    for format in ["csv", "jsonl"] {
        let place = tempfile::tempdir().unwrap();
        let table = place.path().join(format!("table.{format}"));
        run(&table, Part::WHOLE, 1, &mut ());
        let whole = bytes(&table);
        for length in [0, 1, 40, 1000, 5001, whole.len() / 2, whole.len() - 1] {
            std::fs::write(&table, &whole[..length]).unwrap();
            let end = run(&table, Part::WHOLE, 1, &mut ());
            assert!(end.is_complete() && end.found < 150, "{end:?}");
            assert_eq!(bytes(&table), whole, "{format} cut at {length}");
        }
    }
}

/// Parts one behind the other are the whole; joined, they are the whole in every format.
#[test]
fn law_parts_put_together_are_the_whole() {
    for format in FORMATS {
        let place = tempfile::tempdir().unwrap();
        let file = |name: &str| place.path().join(format!("{name}.{format}"));
        run(&file("whole"), Part::WHOLE, 1, &mut ());
        let parts: Vec<_> = (1..=4).map(|number| file(&format!("part{number}"))).collect();
        for (at, part) in parts.iter().enumerate() {
            run(part, Part::new(at as u64 + 1, 4).unwrap(), 1, &mut ());
        }
        if format != "parquet" {
            let behind: Vec<u8> = parts.iter().flat_map(|part| bytes(part)).collect();
            assert_eq!(behind, bytes(&file("whole")), "{format}");
        }
        let description = on_share(0.6);
        let circuit = VariedCircuit::new(&description, &[4, 2]).unwrap();
        let design = || Design::sample(Tolerance::in_use(&description), 1, 150).unwrap();
        let sweep = Sweep::new(&description, &circuit, design(), Part::WHOLE);
        sweep.join(&parts, &file("joined")).unwrap();
        assert_eq!(bytes(&file("joined")), bytes(&file("whole")), "{format}");
        let card = |name: &str| place.path().join(format!("{name}.{format}.sweep.json"));
        assert_eq!(bytes(&card("joined")), bytes(&card("whole")), "{format}");
        // In another order, with one missing, or onto something that is there: refused.
        let swapped = [parts[1].clone(), parts[0].clone(), parts[2].clone(), parts[3].clone()];
        assert!(sweep.join(&swapped, &file("swapped")).is_err());
        assert!(sweep.join(&parts[..3], &file("three")).is_err());
        assert!(sweep.join(&parts, &file("whole")).is_err());
    }
}

/// A file of someone else's is never written over, nor continued.
#[test]
fn law_a_foreign_table_is_left_alone() {
    let place = tempfile::tempdir().unwrap();
    let table = place.path().join("table.csv");
    std::fs::write(&table, "mine\n").unwrap();
    assert!(try_run(&table, Part::WHOLE, 1, &mut ()).is_err());
    assert_eq!(bytes(&table), b"mine\n");
    std::fs::remove_file(&table).unwrap();
    run(&table, Part::WHOLE, 1, &mut ());
    let whole = bytes(&table);
    let error = try_run(&table, Part::WHOLE, 2, &mut ()).unwrap_err();
    assert!(error.to_string().contains("another sweep"), "{error}");
    let error = try_run(&table, Part::new(1, 2).unwrap(), 1, &mut ()).unwrap_err();
    assert!(error.to_string().contains("another sweep"), "{error}");
    assert_eq!(bytes(&table), whole);
    // A row that is not this sweep's is named with its line.
    let mut spoilt = whole.clone();
    let third = whole.iter().enumerate().filter(|(_, b)| **b == b'\n').nth(2).unwrap().0 + 1;
    spoilt[third] = b'7';
    std::fs::write(&table, &spoilt).unwrap();
    let error = try_run(&table, Part::WHOLE, 1, &mut ()).unwrap_err();
    assert_eq!(error.place().map(|place| place.line), Some(4), "{error}");
    assert!(try_run(&place.path().join("table.txt"), Part::WHOLE, 1, &mut ()).is_err());
    Sweep::remove(&table).unwrap();
    assert_eq!(names(place.path()), Vec::<String>::new());
}

/// A step that cannot be held has a row that says so, with the limit and nothing made up; the same in
/// every format.
#[test]
fn law_what_cannot_be_held_has_a_row() {
    let place = tempfile::tempdir().unwrap();
    let description = on_share(0.5);
    let circuit = VariedCircuit::new(&description, &[5]).unwrap();
    let table = |format: &str| {
        let file = place.path().join(format!("reach.{format}"));
        let axis = Axis::parse("regulator.load=50%,180%", &description).unwrap();
        let design = Design::grid(vec![axis]).unwrap();
        Sweep::new(&description, &circuit, design, Part::WHOLE).run(&file, &mut ()).unwrap();
        std::fs::read_to_string(&file).unwrap_or_default()
    };
    let csv = table("csv");
    let rows: Vec<Vec<&str>> = csv.lines().map(|line| line.split(',').collect()).collect();
    let column = |name: &str| rows[0].iter().position(|head| *head == name).unwrap();
    assert_eq!(rows[1][column("state")], "held");
    assert_eq!(rows[1][column("limit_a")], "");
    assert_eq!(rows[2][column("regulator_load_ratio")], "1.8");
    assert_eq!(rows[2][column("state")], "above-highest");
    let limit_a: f64 = rows[2][column("limit_a")].parse().unwrap();
    assert!(limit_a > 1.0 && limit_a < 6.6, "{limit_a}");
    assert_eq!(rows[2][column("crest_factor")], "");
    let lines = table("jsonl");
    let second: serde_json::Value = serde_json::from_str(lines.lines().nth(1).unwrap()).unwrap();
    assert_eq!(second["crest_factor"], serde_json::Value::Null);
    assert_eq!(second["limit_a"].as_f64(), Some(limit_a));
    assert_eq!(second["circuit"], 1);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Every circuit is in one part, in order, and sizes differ by one at most.
    #[test]
    fn law_parts_share_exactly(total in 0_u64..1_000_000_000_000, of in 1_u64..200) {
        let mut next = 0;
        for number in 1..=of {
            let circuits = Part::new(number, of).unwrap().circuits(total);
            prop_assert_eq!(circuits.start, next);
            let size = circuits.end - circuits.start;
            prop_assert!(size == total / of || size == total / of + 1);
            next = circuits.end;
        }
        prop_assert_eq!(next, total);
        prop_assert!(Part::new(0, of).is_err() && Part::new(of + 1, of).is_err());
    }
}

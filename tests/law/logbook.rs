//! What a logbook promises: what is written stays, in order, and only what fits is written.

use std::time::Duration;

use loopcrest::error::{Error, ErrorKind};
use loopcrest::logbook::Logbook;
use loopcrest::procedure::entry::{Moment, Output};
use loopcrest::procedure::{Entry, Journal, VisitState};
use proptest::prelude::*;
use rusqlite::Connection;

use crate::support::entries::{
    PERSON, at, closing, filled, judged_reading, memory, meter, open, opening, reading, regulator,
    written_to,
};

#[track_caller]
fn refused<T: std::fmt::Debug>(result: Result<T, Error>, words: &[&str]) {
    let error = result.unwrap_err();
    let text = format!("{error} ({})", error.hint().unwrap_or_default());
    for word in words {
        assert!(text.contains(word), "{word}: {text}");
    }
}

#[test]
fn law_entries_come_back_as_they_were_written() {
    let place = tempfile::tempdir().unwrap();
    let file = place.path().join("logbook.sqlite");
    let mut logbook = written_to(Logbook::create(&file).unwrap());
    let visit = open(&mut logbook, "R-07", "2026-11-25");
    let written = logbook.append(Some(visit), None, judged_reading(5, Moment::AsFound, 0.1 + 0.2));
    let written = written.unwrap();
    drop(logbook);
    let logbook = Logbook::open_read_only(&file).unwrap();
    assert_eq!(logbook.entry(written.number).unwrap(), written);
    assert_eq!(logbook.visit_entries(visit).unwrap().len(), 2);
    assert_eq!(written.by, PERSON);
    assert_eq!(written.at.to_string(), "2026-11-25T09:00:00Z");
    assert_eq!(written.previous_hash, logbook.entry(visit).unwrap().hash);
    // Closed well, it is one file.
    drop(logbook);
    assert_eq!(std::fs::read_dir(place.path()).unwrap().count(), 1);
}

#[test]
fn law_a_correction_stands_in_the_place_of_what_it_replaces() {
    let mut logbook = memory();
    let visit = open(&mut logbook, "R-07", "2026-11-25");
    let some = Some(visit);
    let first = logbook.append(some, None, reading(5, Moment::AsFound, 66.0)).unwrap();
    logbook.append(some, None, reading(5, Moment::AsFound, 6.7)).unwrap();
    logbook.append(some, None, reading(5, Moment::AsLeft, 6.61)).unwrap();
    let last = logbook.append(some, None, reading(5, Moment::AsLeft, 6.6)).unwrap();
    let again = |logbook: &mut Logbook, old: u64, shown_a| {
        logbook.append(some, Some(old), reading(5, Moment::AsFound, shown_a)).unwrap().number
    };
    let second = again(&mut logbook, first.number, 6.65);
    let third = again(&mut logbook, second, 6.66);
    let trend = |logbook: &Logbook, moment| {
        let points = logbook.trend("R-07", 5, Output::Shorted, moment).unwrap();
        points.iter().map(|point| (point.entry, point.shown_a)).collect::<Vec<_>>()
    };
    // Corrected twice, it is still the first one taken.
    assert_eq!(trend(&logbook, Moment::AsFound), [(third, 6.66)]);
    assert_eq!(trend(&logbook, Moment::AsLeft), [(last.number, 6.6)]);
    let reason = Entry::Withdrawal { reason: "of another step".into() };
    logbook.append(some, Some(last.number), reason).unwrap();
    assert_eq!(trend(&logbook, Moment::AsLeft)[0].1, 6.61);
    // The lists say what the entries add up to.
    let visit = logbook.visit(visit).unwrap();
    for moment in [Moment::AsFound, Moment::AsLeft] {
        let counts = visit.reading(5, moment, Output::Shorted).unwrap().shown_a;
        assert_eq!(trend(&logbook, moment)[0].1, counts);
    }
    assert_eq!(logbook.visits().unwrap()[0].readings, 3);
    assert!(logbook.verify(None).unwrap().holds());
}

#[test]
fn law_only_what_fits_is_written() {
    let mut logbook = memory();
    let visit = open(&mut logbook, "R-07", "2026-11-25");
    let some = Some(visit);
    let taken = logbook.append(some, None, reading(5, Moment::AsFound, 6.6)).unwrap().number;
    let withdrawal = || Entry::Withdrawal { reason: "a slip".into() };

    refused(
        logbook.append(None, None, opening("R-07", "2026-11-26")),
        &["visit 1 on R-07 is still open", "close it"],
    );
    refused(logbook.append(None, None, reading(5, Moment::AsFound, 6.6)), &["belongs to a visit"]);
    refused(logbook.append(some, None, meter("M-1")), &["belongs to no visit"]);
    refused(logbook.append(Some(2), None, reading(5, Moment::AsFound, 6.6)), &["no visit 2"]);
    refused(logbook.append(some, Some(99), withdrawal()), &["no entry 99"]);
    refused(logbook.append(some, Some(u64::MAX), withdrawal()), &["no entry"]);
    refused(logbook.append(some, Some(taken), closing(true)), &["entry 2 is a reading"]);
    refused(logbook.append(some, None, withdrawal()), &["names the entry it takes back"]);
    refused(logbook.append(some, Some(visit), withdrawal()), &["cannot be taken back"]);
    refused(logbook.append(None, Some(taken), withdrawal()), &["of visit 1"]);
    // A number that is none would be lost in the file.
    refused(logbook.append(some, None, reading(5, Moment::AsFound, f64::NAN)), &["finite"]);
    refused(
        logbook.append(some, None, judged_reading(5, Moment::AsFound, f64::INFINITY)),
        &["finite"],
    );
    let taken_back = logbook.append(some, Some(taken), withdrawal()).unwrap().number;
    refused(
        logbook.append(some, Some(taken), reading(5, Moment::AsFound, 6.5)),
        &["counts no more", "correct entry 3"],
    );
    refused(
        logbook.append(some, Some(taken_back), withdrawal()),
        &["is a withdrawal", "enter anew"],
    );
    let closed = logbook.append(some, None, closing(true)).unwrap().number;
    refused(logbook.append(some, None, reading(5, Moment::AsFound, 6.6)), &["visit 1 is closed"]);
    logbook.append(some, None, Entry::Remark { text: "rain".into() }).unwrap();
    // With the closing taken back the visit is open again, unless another has begun.
    let second = open(&mut logbook, "R-07", "2026-11-26");
    refused(logbook.append(some, Some(closed), withdrawal()), &["visit 6 on R-07 is still open"]);
    logbook.append(Some(second), None, closing(false)).unwrap();
    assert_eq!(logbook.visit(second).unwrap().state(), VisitState::Broken);
    logbook.append(some, Some(closed), withdrawal()).unwrap();
    assert_eq!(logbook.open_visit("R-07").unwrap(), Some(visit));
    assert_eq!(logbook.visits().unwrap()[0].state, VisitState::Open);
    // Nothing of what was refused is there.
    assert_eq!(logbook.head().unwrap().unwrap().number, 8);
    assert!(logbook.verify(None).unwrap().holds());

    let nobody = &mut Logbook::in_memory().unwrap();
    refused(nobody.append(None, None, meter("M-1")), &["--by NAME"]);
    refused(Logbook::in_memory().unwrap().with_person(" \n"), &["name of the person"]);
}

#[test]
fn law_a_clock_set_back_is_noticed() {
    let mut logbook = memory();
    logbook.append(None, None, meter("M-1")).unwrap();
    let mut logbook = logbook.with_clock(at("2026-11-25T08:59:59Z"));
    refused(
        logbook.append(None, None, meter("M-2")),
        &["2026-11-25T08:59:59Z", "entry 1, written at 2026-11-25T09:00:00Z", "--despite-clock"],
    );
    let mut logbook = logbook.despite_clock();
    assert_eq!(logbook.append(None, None, meter("M-2")).unwrap().number, 2);
    let Entry::Remark { text } = logbook.entry(3).unwrap().entry else { panic!() };
    assert!(text.contains("written all the same"), "{text}");
    // From there on the clock runs forward again.
    assert_eq!(logbook.append(None, None, meter("M-3")).unwrap().number, 4);
    assert_eq!(logbook.head().unwrap().unwrap().number, 4);
    assert!(logbook.verify(None).unwrap().holds());
}

#[test]
fn law_cards_are_known_as_the_last_entry_says() {
    let mut logbook = memory();
    logbook.append(None, None, regulator("R-09")).unwrap();
    let slip = logbook.append(None, None, regulator("R-7")).unwrap().number;
    let names = |logbook: &Logbook| {
        let known = logbook.regulators().unwrap();
        known.into_iter().map(|filed| (filed.card.name, filed.number)).collect::<Vec<_>>()
    };
    let named = |pairs: &[(&str, u64)]| {
        pairs.iter().map(|(name, number)| ((*name).to_owned(), *number)).collect::<Vec<_>>()
    };
    logbook.append(None, Some(slip), regulator("R-07")).unwrap();
    assert_eq!(names(&logbook), named(&[("R-07", 3), ("R-09", 1)]));
    let newer = logbook.append(None, None, regulator("R-09")).unwrap().number;
    assert_eq!(names(&logbook), named(&[("R-07", 3), ("R-09", newer)]));
    let reason = Entry::Withdrawal { reason: "a slip".into() };
    logbook.append(None, Some(newer), reason).unwrap();
    assert_eq!(names(&logbook), named(&[("R-07", 3), ("R-09", 1)]));
    assert_eq!(logbook.regulator("R-07").unwrap().unwrap().number, 3);
    assert!(logbook.regulator("R-7").unwrap().is_none());
}

#[test]
fn law_lists_find_visits_by_regulator_meter_and_day() {
    let logbook = filled(memory());
    let numbers = |rows: Vec<loopcrest::logbook::VisitRow>| {
        rows.into_iter().map(|row| row.number).collect::<Vec<_>>()
    };
    assert_eq!(numbers(logbook.visits().unwrap()), [3, 8]);
    assert_eq!(numbers(logbook.visits_of("R-07").unwrap()), [3, 8]);
    assert!(logbook.visits_of("R-08").unwrap().is_empty());
    let with = |from: &str, until: &str| {
        let (from, until) = (from.parse().unwrap(), until.parse().unwrap());
        numbers(logbook.visits_with_meter("M-1", from, until).unwrap())
    };
    assert_eq!(with("2025-11-20", "2025-11-20"), [3]);
    assert_eq!(with("2025-11-21", "2026-11-24"), [0; 0]);
    assert_eq!(with("2025-01-01", "2026-12-31"), [3, 8]);
    let row = logbook.visit_row(3).unwrap().unwrap();
    assert_eq!((row.state, row.readings), (VisitState::Complete, 2));
    assert_eq!(row.next_due.unwrap().to_string(), "2027-11-25");
    let trend = logbook.trend("R-07", 5, Output::Shorted, Moment::AsFound).unwrap();
    assert_eq!(trend.iter().map(|point| point.shown_a).collect::<Vec<_>>(), [6.71, 6.63]);
    assert_eq!(trend[0].low_a, Some(6.5));
    assert_eq!(trend[0].day.to_string(), "2025-11-20");
}

#[test]
fn law_the_store_itself_refuses_changes() {
    let place = tempfile::tempdir().unwrap();
    let file = place.path().join("logbook.sqlite");
    drop(filled(written_to(Logbook::create(&file).unwrap())));
    let store = Connection::open(&file).unwrap();
    for (change, word) in [
        ("UPDATE entry SET person = 'B. Other' WHERE number = 2", "never changed"),
        ("DELETE FROM entry WHERE number = 12", "never removed"),
        (
            "INSERT INTO entry SELECT 14, at, person, program, visit, NULL, kind, json, \
             previous_hash, 'x' FROM entry WHERE number = 12",
            "without gaps",
        ),
    ] {
        let error = store.execute(change, []).unwrap_err().to_string();
        assert!(error.contains(word), "{change}: {error}");
    }
    drop(store);
    assert!(Logbook::open(&file).unwrap().verify(None).unwrap().holds());
}

/// Another program that drops the guards can change anything; the first entry that does not fit is
/// named, and nothing is added behind a last one that does not.
#[test]
fn law_verify_names_the_first_entry_that_does_not_fit() {
    let place = tempfile::tempdir().unwrap();
    let original = place.path().join("original.sqlite");
    let logbook = filled(written_to(Logbook::create(&original).unwrap()));
    let head = logbook.head().unwrap().unwrap();
    let early = logbook.entry(4).unwrap().hash;
    drop(logbook);
    let guards = "DROP TRIGGER entry_never_changed; DROP TRIGGER entry_never_removed; \
                  DROP TRIGGER entry_in_order; PRAGMA foreign_keys = OFF;";
    let changed = |change: &str| {
        let file = place.path().join("changed.sqlite");
        std::fs::copy(&original, &file).unwrap();
        let store = Connection::open(&file).unwrap();
        let declared: Vec<String> = store
            .prepare("SELECT sql FROM sqlite_schema WHERE type = 'trigger'")
            .unwrap()
            .query_map([], |row| row.get(0))
            .unwrap()
            .map(Result::unwrap)
            .collect();
        store.execute_batch(guards).unwrap();
        store.execute_batch(change).unwrap();
        // Put back, so that only the entries give it away.
        store.execute_batch(&declared.join(";\n")).unwrap();
        drop(store);
        Logbook::open(&file).unwrap()
    };
    let named = |change: &str, number: u64, word: &str| {
        let found = changed(change).verify(None).unwrap();
        let first = &found.misfits[0];
        assert_eq!((first.code, first.number), ("chain", Some(number)), "{change}: {found:?}");
        assert!(first.text.contains(word), "{change}: {}", first.text);
        assert_eq!(found.entries, number - 1, "{change}");
    };
    named("UPDATE entry SET json = replace(json, '6.71', '6.61') WHERE number = 4", 4, "hash");
    named("UPDATE entry SET person = 'B. Other' WHERE number = 9", 9, "hash");
    named("UPDATE entry SET at = '2026-11-25T09:00:01Z' WHERE number = 2", 2, "hash");
    named("UPDATE entry SET visit = 8 WHERE number = 4", 4, "hash");
    named("UPDATE entry SET replaces = NULL WHERE number = 6", 6, "hash");
    named("DELETE FROM entry WHERE number = 9", 9, "entry 9 is missing");
    named("DELETE FROM entry WHERE number = 1", 1, "entry 1 is missing");
    // Two entries change places.
    named(
        "UPDATE entry SET number = 99 WHERE number = 4; UPDATE entry SET number = 4 WHERE number = 5; \
         UPDATE entry SET number = 5 WHERE number = 99",
        4,
        "hash",
    );

    // Entries cut off at the end leave a sound chain: only an earlier hash shows it.
    let mut cut = changed(
        "DELETE FROM reading WHERE entry = 12; DELETE FROM entry WHERE number >= 11; \
         INSERT INTO reading SELECT 10, 10, visit, step, output, moment, 6.64, 6.64 * 1.001, 0.01, \
         6.6, 6.5, 6.7 FROM reading WHERE entry = 9",
    );
    assert!(cut.verify(None).unwrap().holds(), "{:?}", cut.verify(None));
    let found = cut.verify(Some(&head.hash)).unwrap();
    assert_eq!(found.misfits[0].code, "head");
    let found = cut.verify(Some(&early)).unwrap();
    assert!(found.holds());
    assert_eq!(found.since_head, Some(6));
    cut = written_to(cut);
    cut.append(None, None, meter("M-2")).unwrap();
    drop(cut);

    // A list that says something else than the entries.
    let found = changed("UPDATE reading SET shown_a = 6.6 WHERE entry = 4").verify(None).unwrap();
    assert_eq!(found.misfits[0].code, "lists");
    let found = changed("CREATE TRIGGER t AFTER INSERT ON reading BEGIN SELECT 1; END");
    assert_eq!(found.verify(None).unwrap().misfits[0].code, "guards");
    // Without the guards.
    let file = place.path().join("bare.sqlite");
    std::fs::copy(&original, &file).unwrap();
    Connection::open(&file).unwrap().execute_batch(guards).unwrap();
    let found = Logbook::open(&file).unwrap().verify(None).unwrap();
    assert_eq!(found.misfits.len(), 3, "{found:?}");
    assert!(found.misfits.iter().all(|misfit| misfit.code == "guards"));

    let last = "UPDATE entry SET person = 'B. Other' WHERE number = 12";
    refused(
        written_to(changed(last)).append(None, None, meter("M-2")),
        &["entry 12 is not as it was written", "logbook verify"],
    );
}

/// The part of the chain a visit stands in is looked at before it is told, and the last entries before
/// another one is added.
#[test]
fn law_a_changed_visit_and_a_changed_end_are_noticed_without_looking_through_all() {
    let place = tempfile::tempdir().unwrap();
    let file = place.path().join("logbook.sqlite");
    drop(filled(written_to(Logbook::create(&file).unwrap())));
    let logbook = Logbook::open(&file).unwrap();
    assert_eq!(logbook.misfit_of_visit(3).unwrap(), None);
    assert_eq!(logbook.misfit_of_regulator("R-07").unwrap(), None);
    logbook.check_end().unwrap();
    let store = Connection::open(&file).unwrap();
    let guard: String = store
        .query_row("SELECT sql FROM sqlite_schema WHERE name = 'entry_never_changed'", [], |row| {
            row.get(0)
        })
        .unwrap();
    store.execute_batch("DROP TRIGGER entry_never_changed").unwrap();
    refused(logbook.check_end(), &["NOT as it was written", "entry_never_changed"]);
    store
        .execute_batch("UPDATE entry SET json = replace(json, '6.71', '6.61') WHERE number = 4")
        .unwrap();
    store.execute_batch(&guard).unwrap();
    drop(store);
    let found = logbook.misfit_of_visit(3).unwrap().unwrap();
    assert_eq!((found.number, found.code), (Some(4), "chain"));
    assert_eq!(logbook.misfit_of_visit(8).unwrap(), None, "the other visit holds");
    assert_eq!(logbook.misfit_of_regulator("R-07").unwrap(), Some(found));
    refused(logbook.check_end(), &["NOT as it was written", "entry 4", "logbook verify"]);
}

/// A byte of the file changed anywhere: found, or of no consequence (free space); never a panic, and
/// never a reading that says something else.
#[test]
fn law_a_flipped_byte_is_noticed_or_of_no_consequence() {
    use rand::{RngExt, SeedableRng};
    let place = tempfile::tempdir().unwrap();
    let file = place.path().join("logbook.sqlite");
    let logbook = filled(written_to(Logbook::create(&file).unwrap()));
    let entries =
        |logbook: &Logbook| (1..=12).map(|n| logbook.entry(n)).collect::<Result<Vec<_>, _>>();
    let want = entries(&logbook).unwrap();
    drop(logbook);
    let sound = std::fs::read(&file).unwrap();
    let mut random = rand_chacha::ChaCha8Rng::seed_from_u64(7);
    let (mut noticed, mut harmless) = (0, 0);
    for _ in 0..400 {
        let mut bytes = sound.clone();
        let place = random.random_range(0..bytes.len());
        bytes[place] ^= random.random_range(1..=255_u8);
        std::fs::write(&file, &bytes).unwrap();
        let holds = Logbook::open_read_only(&file)
            .and_then(|logbook| Ok((logbook.verify(None)?.holds(), entries(&logbook))));
        match holds {
            Ok((true, got)) => {
                assert_eq!(got.unwrap(), want, "byte {place} changed an entry unnoticed");
                harmless += 1;
            }
            Ok((false, _)) | Err(_) => noticed += 1,
        }
    }
    // Most bytes of the file are text of entries or free space.
    assert!(noticed > 100 && harmless > 0, "{noticed} noticed, {harmless} harmless");
}

#[test]
fn law_what_is_no_logbook_is_refused_in_words() {
    let place = tempfile::tempdir().unwrap();
    let file = place.path().join("logbook.sqlite");
    let openings: [fn(&std::path::Path) -> loopcrest::error::Result<Logbook>; 2] =
        [Logbook::open, Logbook::open_read_only];
    for open in openings {
        let _ = std::fs::remove_file(&file);
        refused(open(&file), &["logbook.sqlite", "logbook add"]);
        refused(open(place.path()), &["--logbook FILE"]);
        std::fs::write(&file, "").unwrap();
        refused(open(&file), &["logbook.sqlite", "an empty file"]);
        std::fs::write(&file, "a text that is long enough to be taken for a page\n".repeat(40))
            .unwrap();
        refused(open(&file), &["no logbook", "--logbook"]);
        std::fs::remove_file(&file).unwrap();
        Connection::open(&file).unwrap().execute_batch("CREATE TABLE t (a)").unwrap();
        refused(open(&file), &["SQLite file of another program", "nothing was changed"]);
        std::fs::remove_file(&file).unwrap();
        drop(filled(written_to(Logbook::create(&file).unwrap())));
        Connection::open(&file).unwrap().pragma_update(None, "user_version", 2).unwrap();
        let before = std::fs::read(&file).unwrap();
        refused(open(&file), &["version 2", "newer loopcrest", "nothing was changed"]);
        assert_eq!(std::fs::read(&file).unwrap(), before);
    }
    refused(Logbook::create(&file), &["kept as it is"]);
}

/// A logbook of version 0, the entries alone, is brought forward: in the file when it is written to, in
/// memory when it is only read.
#[test]
fn law_an_older_version_is_brought_forward() {
    let place = tempfile::tempdir().unwrap();
    let file = place.path().join("logbook.sqlite");
    let logbook = filled(written_to(Logbook::create(&file).unwrap()));
    let rows = logbook.visits().unwrap();
    drop(logbook);
    let store = Connection::open(&file).unwrap();
    store
        .execute_batch(
            "DROP TABLE reading; DROP TABLE closing; DROP TABLE visit; DROP TABLE card; \
             DROP TRIGGER entry_never_changed; DROP TRIGGER entry_never_removed; \
             DROP TRIGGER entry_in_order; DROP INDEX entry_of_visit; PRAGMA user_version = 0; \
             PRAGMA journal_mode = DELETE; VACUUM;",
        )
        .unwrap();
    store.close().unwrap();
    let old = std::fs::read(&file).unwrap();
    let read = Logbook::open_read_only(&file).unwrap();
    assert_eq!(read.visits().unwrap(), rows);
    assert!(read.verify(None).unwrap().holds());
    drop(read);
    assert_eq!(std::fs::read(&file).unwrap(), old, "reading changes nothing");

    // One that cannot be brought forward stays as it is.
    let store = Connection::open(&file).unwrap();
    store
        .execute_batch("UPDATE entry SET json = '{\"kind\": \"of the future\"}' WHERE number = 5")
        .unwrap();
    drop(store);
    let spoilt = std::fs::read(&file).unwrap();
    refused(Logbook::open(&file), &["entry 5", "of the future"]);
    assert_eq!(std::fs::read(&file).unwrap(), spoilt);

    std::fs::write(&file, old).unwrap();
    let mut logbook = written_to(Logbook::open(&file).unwrap());
    assert_eq!(logbook.visits().unwrap(), rows);
    logbook.append(Some(8), None, closing(true)).unwrap();
    assert!(logbook.verify(None).unwrap().holds());
    drop(logbook);
    let store = Connection::open(&file).unwrap();
    let version: i64 = store.query_row("PRAGMA user_version", [], |row| row.get(0)).unwrap();
    assert_eq!(version, 1);
}

#[test]
fn law_a_logbook_opened_for_reading_is_not_written_to() {
    let place = tempfile::tempdir().unwrap();
    let file = place.path().join("logbook.sqlite");
    drop(filled(written_to(Logbook::create(&file).unwrap())));
    let mut logbook = written_to(Logbook::open_read_only(&file).unwrap());
    refused(logbook.append(None, None, meter("M-2")), &["may only be read", "nothing was written"]);
    assert_eq!(logbook.head().unwrap().unwrap().number, 12);
}

#[test]
fn law_a_writer_waits_then_says_who_is_in_the_way() {
    let place = tempfile::tempdir().unwrap();
    let file = place.path().join("logbook.sqlite");
    let mut logbook = written_to(Logbook::create(&file).unwrap());
    let other = Connection::open(&file).unwrap();
    other.execute_batch("BEGIN IMMEDIATE").unwrap();
    logbook = logbook.with_patience(Duration::from_millis(50)).unwrap();
    refused(logbook.append(None, None, meter("M-1")), &["another program is writing", "try again"]);
    // Reading goes on meanwhile.
    assert!(logbook.head().unwrap().is_none());
    other.execute_batch("COMMIT").unwrap();
    assert_eq!(logbook.append(None, None, meter("M-1")).unwrap().number, 1);
}

#[test]
fn law_two_writers_at_once_write_one_chain() {
    let place = tempfile::tempdir().unwrap();
    let file = place.path().join("logbook.sqlite");
    drop(Logbook::create(&file).unwrap());
    const EACH: u64 = 60;
    let write = |name: &'static str| {
        let file = file.clone();
        std::thread::spawn(move || {
            let mut logbook = Logbook::open(&file)
                .unwrap()
                .with_person(name)
                .unwrap()
                .with_patience(Duration::from_secs(60))
                .unwrap();
            let mut numbers = Vec::new();
            for _ in 0..EACH {
                numbers.push(logbook.append(None, None, meter(name)).unwrap().number);
            }
            numbers
        })
    };
    let writers = [write("first"), write("second"), write("third")];
    let mut numbers: Vec<u64> = writers.into_iter().flat_map(|one| one.join().unwrap()).collect();
    numbers.sort_unstable();
    assert_eq!(numbers, (1..=3 * EACH).collect::<Vec<_>>());
    let found = Logbook::open(&file).unwrap().verify(None).unwrap();
    assert!(found.holds(), "{found:?}");
}

/// Of many who open a visit on one regulator at once, one does.
#[test]
fn law_of_many_who_open_one_visit_one_does() {
    let place = tempfile::tempdir().unwrap();
    let file = place.path().join("logbook.sqlite");
    let open = |_| {
        let file = file.clone();
        std::thread::spawn(move || {
            let (logbook, _) = Logbook::open_or_create(&file).unwrap();
            written_to(logbook).append(None, None, opening("R-07", "2026-11-25")).is_ok()
        })
    };
    let done: Vec<bool> =
        (0..6).map(open).collect::<Vec<_>>().into_iter().map(|one| one.join().unwrap()).collect();
    assert_eq!(done.iter().filter(|done| **done).count(), 1, "{done:?}");
    assert_eq!(Logbook::open(&file).unwrap().visits().unwrap().len(), 1);
}

#[test]
fn law_a_backup_is_the_same_logbook_and_replaces_nothing() {
    let place = tempfile::tempdir().unwrap();
    let file = place.path().join("logbook.sqlite");
    let copy = place.path().join("copy.sqlite");
    let mut logbook = filled(written_to(Logbook::create(&file).unwrap()));
    let head = logbook.backup(&copy).unwrap();
    assert_eq!(head, logbook.head().unwrap());
    refused(logbook.backup(&copy), &["copy.sqlite", "kept as it is"]);
    logbook.append(Some(8), None, closing(true)).unwrap();
    let copy = Logbook::open_read_only(&copy).unwrap();
    assert_eq!(copy.head().unwrap(), head);
    assert!(copy.verify(head.as_ref().map(|head| head.hash.as_str())).unwrap().holds());
    refused(logbook.backup(&place.path().join("no/such/folder.sqlite")), &["folder.sqlite"]);
}

/// A reading put right is judged again by what its visit was opened with, and judging all of them
/// again comes out the same.
#[test]
fn law_a_corrected_reading_is_judged_again() {
    let mut logbook = memory();
    let visit = open(&mut logbook, "R-07", "2026-11-25");
    let taken = logbook.append(Some(visit), None, reading(5, Moment::AsFound, 66.0)).unwrap();
    let change = |field: &str, value: &str| vec![(field.to_owned(), value.to_owned())];
    let right = logbook.corrected(taken.number, &change("shown_a", "6.58")).unwrap();
    let Entry::Reading(reading) = &right else { panic!("{right:?}") };
    assert_eq!((reading.typed.as_str(), reading.shown_a), ("6.58", 6.58));
    let judged = reading.judgement.clone().unwrap();
    assert_eq!((judged.nominal_a, judged.true_rms_a.is_some()), (6.6, true));
    let put = logbook.append(Some(visit), Some(taken.number), right).unwrap();
    let found = logbook.recompute(None).unwrap();
    assert!(found.holds() && found.same == 1, "{found:?}");
    // A judgement that was written down otherwise comes out.
    let mut other = judged_reading(5, Moment::AsLeft, 6.6);
    let Entry::Reading(wrong) = &mut other else { unreachable!() };
    wrong.judgement = Some(loopcrest::procedure::entry::Judgement { nominal_a: 6.5, ..judged });
    let wrong = logbook.append(Some(visit), None, other).unwrap();
    let found = logbook.recompute(Some(visit)).unwrap();
    let nominal = found.differing.iter().find(|differing| differing.field == "nominal_a").unwrap();
    assert_eq!((nominal.entry, nominal.stored.as_deref()), (wrong.number, Some("6.5")));
    assert_eq!(nominal.now.as_deref(), Some("6.6"));
    assert!(!found.holds());

    refused(logbook.corrected(put.number, &change("shown_a", "-3")), &["allowed"]);
    refused(logbook.corrected(put.number, &change("shown", "6.5")), &["\"shown\"", "shown_a"]);
    refused(logbook.corrected(put.number, &change("judgement.low_a", "1")), &["not for changing"]);
    refused(logbook.corrected(put.number, &change("step", "five")), &["reading"]);
    refused(logbook.corrected(put.number, &change("step", "5")), &["says that already"]);
    refused(logbook.corrected(999, &change("step", "5")), &["no entry 999"]);
    let tap = logbook.corrected(visit, &change("conditions.tap", "2")).unwrap_err();
    assert!(
        matches!(tap.kind(), ErrorKind::Malformed { .. }),
        "2 is a number, a tap is a text: {tap}"
    );
    let tap = logbook.corrected(visit, &change("conditions.tap", "\"2\"")).unwrap();
    let Entry::Opening(opening) = tap else { panic!() };
    assert_eq!(opening.conditions.tap.as_deref(), Some("2"));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]
    /// Whatever was written, an export makes the same logbook again: entries, hashes, and the same
    /// exports byte for byte.
    #[test]
    fn law_an_import_is_the_same_logbook(
        remarks in proptest::collection::vec("[ -~äß\u{3b1}\u{1f4a1}\\n\\t\"',;]{0,40}", 1..6),
        numbers in proptest::collection::vec(
            any::<f64>().prop_filter("finite", |x| x.is_finite()), 1..6),
        person in "[A-Za-zÄé\",; ]{0,10}[a-z]",
    ) {
        let place = tempfile::tempdir().unwrap();
        let path = |name: &str| place.path().join(name);
        let mut logbook = memory().with_person(&person).unwrap();
        let visit = open(&mut logbook, "R-07", "2026-11-25");
        for text in remarks {
            logbook.append(Some(visit), None, Entry::Remark { text }).unwrap();
        }
        for shown_a in numbers {
            logbook.append(Some(visit), None, reading(5, Moment::AsFound, shown_a)).unwrap();
        }
        let head = logbook.head().unwrap();
        for (at, end) in ["jsonl", "csv"].into_iter().enumerate() {
            let first = path(&format!("first.{end}"));
            let format = loopcrest::logbook::ExportFormat::of(&first).unwrap();
            prop_assert_eq!(logbook.export(&first, format).unwrap(), head.clone());
            let copy = Logbook::import(&path(&format!("{at}.sqlite")), &first).unwrap();
            prop_assert_eq!(copy.head().unwrap(), head.clone());
            prop_assert_eq!(copy.visit_entries(visit).unwrap(), logbook.visit_entries(visit).unwrap());
            prop_assert!(copy.verify(None).unwrap().holds());
            let second = path(&format!("second.{end}"));
            copy.export(&second, format).unwrap();
            prop_assert_eq!(std::fs::read(first).unwrap(), std::fs::read(second).unwrap());
        }
    }
}

#[test]
fn law_an_export_that_was_changed_is_refused_with_its_line() {
    let place = tempfile::tempdir().unwrap();
    let path = |name: &str| place.path().join(name);
    let logbook = filled(memory());
    for name in ["all.jsonl", "all.csv"] {
        let format = loopcrest::logbook::ExportFormat::of(&path(name)).unwrap();
        logbook.export(&path(name), format).unwrap();
    }
    let attempt = |name: &str, text: &str, words: &[&str]| {
        std::fs::write(path(name), text).unwrap();
        refused(Logbook::import(&path("new.sqlite"), &path(name)), words);
        let left: Vec<_> = std::fs::read_dir(place.path()).unwrap().collect();
        assert!(!path("new.sqlite").exists() && left.len() <= 5, "{left:?}");
    };
    let text = std::fs::read_to_string(path("all.jsonl")).unwrap();
    let lines: Vec<&str> = text.lines().collect();
    let without = |n: usize| {
        let mut rest = lines.clone();
        rest.remove(n);
        rest.join("\n")
    };
    attempt("a.jsonl", &text.replace("6.71", "6.61"), &[".jsonl:4", "entry 4", "hash"]);
    attempt("a.jsonl", &without(6), &[".jsonl:7", "entry 7 is missing"]);
    attempt("a.jsonl", &text[..text.len() - 9], &[".jsonl:12", "JSON"]);
    attempt("a.jsonl", "", &["no entry in it"]);
    attempt("a.jsonl", "{}\n", &[".jsonl:1"]);
    let table = std::fs::read_to_string(path("all.csv")).unwrap();
    attempt("a.csv", &table.replacen("2026-11-25T09", "2026-11-25T08", 1), &[".csv:2", "entry 1"]);
    attempt("a.csv", "visit,entry\n1,2\n", &["columns", "--readings"]);
    attempt("a.csv", &table.replacen("\n1,", "\none,", 1), &[".csv:2", "number", "one"]);
    refused(Logbook::import(&path("new.sqlite"), &path("all.txt")), &[".jsonl or .csv"]);
    let readings = path("readings.csv");
    assert_eq!(logbook.export_readings(&readings).unwrap(), 4);
    let table = std::fs::read_to_string(readings).unwrap();
    let rows: Vec<&str> = table.lines().collect();
    assert!(rows[0].starts_with("visit,entry,day,regulator"), "{}", rows[0]);
    assert!(rows[1].starts_with("3,4,2025-11-20,R-07,C-3,M-1,A. Person,5,shorted,as-found,6.71,"));
    assert_eq!(rows.len(), 5);
}

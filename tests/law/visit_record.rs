//! What a record must say first, and what it must not leave out.

use loopcrest::logbook::{Clock, Logbook};
use loopcrest::procedure::entry::{MeterDoubt, Moment, Output};
use loopcrest::procedure::plan::FindingKind;
use loopcrest::procedure::{Bench, Candidate, Entry, Finding, Journal, Run, Visit};
use loopcrest::report::paper::{PaperSize, Sheet, Writing};
use loopcrest::report::visit_record::{
    VisitCards, VisitRecordDocument, visit_figures, visit_writing,
};

use crate::support::{recorded_visit, visits};

fn memory() -> Logbook {
    let clock = Clock::Fixed("2026-11-25T09:00:00Z".parse().unwrap());
    Logbook::in_memory().unwrap().with_person("A. Person").unwrap().with_clock(clock)
}

fn record(logbook: &Logbook, visit: &Visit) -> (VisitRecordDocument, Writing) {
    let bench = Bench::of(visit.opening()).unwrap();
    let cards = VisitCards::of(logbook, visit).unwrap();
    let document = VisitRecordDocument::new(visit, &bench, &cards).unwrap();
    let writing = visit_writing(&document, visit_figures(visit, &bench).unwrap());
    (document, writing)
}

/// Everything on the pages, without blanks.
fn said(writing: &Writing) -> String {
    let sheets = writing.sheets(PaperSize::A4);
    let texts: Vec<_> = sheets.iter().flat_map(Sheet::texts).collect();
    texts.join(" ").split_whitespace().collect()
}

#[track_caller]
fn holds(said: &str, words: &str) {
    let flowing: String = words.split_whitespace().collect();
    assert!(said.contains(&flowing), "{words} is not in {said}");
}

fn read(run: &mut Run<Logbook>, step: u32, moment: Moment, output: Output, shown_a: f64) {
    let candidate = Candidate { step, moment, output, shown_a };
    let reading = run.weigh(candidate, &format!("{shown_a:.2}")).unwrap();
    run.read(reading).unwrap();
}

/// Why a step or a protection was left as it is stands in the record, and so does a "no" that came
/// before a "yes"; a step that was read as found only is marked where it is compared with the field, in
/// the record and in the guide alike.
#[test]
fn law_a_record_leaves_out_no_reason_and_no_earlier_no() {
    let mut run = Run::open(memory(), visits::opening()).unwrap();
    run.answer("locked-out", Some(false), Some("no lock here".into())).unwrap();
    run.answer("locked-out", Some(true), None).unwrap();
    read(&mut run, 4, Moment::AsFound, Output::Shorted, 5.40);
    let seized = Some("adjuster seized".to_owned());
    run.leave_step("steps-shorted", 4, Moment::AsLeft, seized).unwrap();
    run.answer("overcurrent", None, Some("relay on order".into())).unwrap();
    read(&mut run, 4, Moment::AsLeft, Output::Field, 5.20);
    read(&mut run, 5, Moment::AsLeft, Output::Shorted, 6.60);
    read(&mut run, 5, Moment::AsLeft, Output::Field, 6.58);
    let visit = run.visit().clone();
    let logbook = run.into_journal();
    let (document, writing) = record(&logbook, &visit);
    let said = said(&writing);
    for words in ["adjuster seized", "relay on order", "NO: no lock here"] {
        holds(&said, words);
    }
    let locked = document.answers.iter().find(|answer| answer.item == "locked-out").unwrap();
    assert_eq!((locked.holds, locked.before.len()), (Some(true), 1));
    assert_eq!(locked.before[0].holds, Some(false));
    let left: Vec<&str> = document
        .answers
        .iter()
        .filter(|answer| answer.left_as_is)
        .map(|answer| answer.item.as_str())
        .collect();
    assert_eq!(left, ["steps-shorted:4:as-left", "overcurrent"]);
    let marked: Vec<(u32, bool)> =
        document.differences.iter().map(|part| (part.step, part.may_be_two_settings)).collect();
    assert_eq!(marked, [(5, false), (4, true)]);
    holds(&said, "compares two settings");
    let finding =
        Finding::of(&Bench::of(visit.opening()).unwrap(), &visit, FindingKind::Differences);
    let of_step = |step: u32| {
        let head = format!("step {step}:");
        finding.lines.iter().find(|line| line.starts_with(&head)).unwrap().clone()
    };
    assert!(of_step(4).contains("compares two settings") && !of_step(5).contains("settings"));
}

/// A doubt about the meter is said before anything else, with how many readings it turns.
#[test]
fn law_a_doubted_meter_is_said_first() {
    let (logbook, visit) = recorded_visit::visit("R-07");
    assert!(record(&logbook, &visit).0.doubts.is_empty());
    let clock = Clock::Fixed("2026-12-25T09:00:00Z".parse().unwrap());
    let mut logbook = logbook.with_person("A. Person").unwrap().with_clock(clock);
    let doubt = MeterDoubt {
        meter: "M-1".into(),
        from: "2026-03-02".parse().unwrap(),
        until: "2026-12-20".parse().unwrap(),
        error_ratio: 0.05,
        reason: "jaw found cracked".into(),
    };
    logbook.append(None, None, Entry::MeterDoubt(doubt)).unwrap();
    let (document, writing) = record(&logbook, &visit);
    let part = &document.doubts[0];
    assert_eq!(part.readings, visit.readings().count());
    assert!(part.wrongly_accepted > 0);
    let said = said(&writing);
    holds(&said, "jaw found cracked");
    let flowing = |words: &str| said.find(&words.replace(' ', "")).unwrap();
    assert!(flowing("IN DOUBT") < flowing("In short"));
    assert!(writing.html(PaperSize::A4).contains("IN DOUBT"));
}

/// Every verdict on a step at which the clamp must not be says so, not the first page alone.
#[test]
fn law_the_danger_of_a_clamp_stands_in_every_verdict() {
    let (document, writing) = recorded_visit::record("R-07");
    let top = document.steps.iter().find(|part| part.step.number == 5).unwrap();
    let (shorted, field) = (top.shorted.as_ref().unwrap(), top.field.as_ref().unwrap());
    assert!(!shorted.is_dangerous && field.is_dangerous);
    holds(&said(&writing), "DANGER; by its numbers fit");
}

/// A meter without a data sheet is told on the first lines, not only by a number that is too good.
#[test]
fn law_a_meter_without_a_sheet_is_flagged() {
    let sheet = "[[meter]]\nname = \"bare\"\ndetector = \"true-rms\"\n".to_owned();
    let opening = loopcrest::procedure::entry::Opening { sheet, ..visits::sine_opening() };
    let mut run = Run::open(memory(), opening).unwrap();
    read(&mut run, 5, Moment::AsLeft, Output::Shorted, 6.60);
    let is_flag = |code: &str| code == Bench::NO_SHEET;
    assert!(run.bench().notes().iter().any(|note| is_flag(note.code)));
    let visit = run.visit().clone();
    let (document, writing) = record(&run.into_journal(), &visit);
    assert!(document.notes.iter().any(|note| is_flag(note.code)));
    let said = said(&writing);
    let at = said.find("Accuracynotcounted").expect("it is said");
    assert!(at < said.find("Inshort").unwrap());
    // The meter with a sheet is not.
    let run = Run::open(memory(), visits::sine_opening()).unwrap();
    assert!(run.bench().notes().iter().all(|note| !is_flag(note.code)));
}

/// A record of a visit that was changed says so before anything else.
#[test]
fn law_a_record_of_a_changed_visit_says_so() {
    let place = tempfile::tempdir().unwrap();
    let file = place.path().join("logbook.sqlite");
    let (logbook, visit) = recorded_visit::filled(Logbook::create(&file).unwrap(), "R-07");
    assert_eq!(record(&logbook, &visit).0.misfit, None);
    drop(logbook);
    let store = rusqlite::Connection::open(&file).unwrap();
    store
        .execute_batch(
            "DROP TRIGGER entry_never_changed; UPDATE entry SET json = replace(json, '6.74', '6.64') \
             WHERE kind = 'reading'",
        )
        .unwrap();
    drop(store);
    let logbook = Logbook::open(&file).unwrap();
    let visit = logbook.visit(visit.number()).unwrap();
    let (document, writing) = record(&logbook, &visit);
    assert!(document.misfit.unwrap().contains("is not as it was written"));
    let said = said(&writing);
    assert!(said.find("NOTASITWASWRITTEN").unwrap() < said.find("Inshort").unwrap());
}

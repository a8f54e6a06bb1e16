//! A whole visit of our own invention, for records: aerodrome "Kestrel Moor", which is nowhere.

use loopcrest::description::{Description, sheet_text};
use loopcrest::logbook::{Clock, Logbook};
use loopcrest::meter::{Archetype, Certificate};
use loopcrest::procedure::entry::{
    Closing, Conditions, Moment, Opening, Output, ProtectionKind, ProtectionProof, RegulatorCard,
};
use loopcrest::procedure::{Bench, Candidate, Entry, Journal, Procedure, Run, Visit};
use loopcrest::report::paper::Writing;
use loopcrest::report::visit_record::{
    VisitCards, VisitRecordDocument, visit_figures, visit_writing,
};

const STEPS: [(u32, f64, f64, f64); 5] = [
    (5, 6.74, 6.60, 6.58),
    (4, 5.22, 5.20, 5.19),
    (3, 4.05, 4.10, 4.11),
    (2, 3.41, 3.40, 3.42),
    (1, 2.91, 2.80, 2.79),
];

/// The visit, with this name for its regulator, in a logbook in memory.
pub(crate) fn visit(regulator: &str) -> (Logbook, Visit) {
    filled(Logbook::in_memory().unwrap(), regulator)
}

/// The same visit written into a logbook.
pub(crate) fn filled(logbook: Logbook, regulator: &str) -> (Logbook, Visit) {
    let clock = Clock::Fixed("2026-11-25T09:00:00Z".parse().unwrap());
    let mut logbook = logbook.with_person("A. Person").unwrap().with_clock(clock);
    let card = RegulatorCard {
        name: regulator.into(),
        place: "vault 3, Kestrel Moor (invented)".into(),
        serial: Some("0417".into()),
        description: Description::EMBEDDED_TEXT.into(),
        remark: None,
    };
    logbook.append(None, None, Entry::Regulator(card)).unwrap();
    let mut sheet = Archetype::GeneralTrueRmsClamp.sheet();
    sheet.certificate = Some(Certificate {
        number: "KM-2026-118".into(),
        date: "2026-03-02".parse().unwrap(),
        due: Some("2027-03-01".parse().unwrap()),
        expanded_ratio: 0.004,
        coverage_factor: 2.0,
    });
    let opening = Opening {
        regulator: regulator.into(),
        circuit: Some("C-3".into()),
        meter: "M-1".into(),
        day: "2026-11-25".parse().unwrap(),
        person: "A. Person".into(),
        conditions: Conditions { ambient_degc: Some(12.0), ..Conditions::default() },
        description: Description::EMBEDDED_TEXT.into(),
        sheet: sheet_text("M-1", &sheet),
        procedure: Procedure::EMBEDDED_TEXT.into(),
        conformance_probability: 0.95,
    };
    let mut run = Run::open(logbook, opening).unwrap();
    run.answer("qualified", Some(true), None).unwrap();
    run.answer("released", None, Some("tower, until noon".into())).unwrap();
    let read = |run: &mut Run<Logbook>, step, moment, output, shown_a: f64| {
        let candidate = Candidate { step, moment, output, shown_a };
        let taken = run.weigh(candidate, &format!("{shown_a:.2}")).unwrap();
        run.read(taken).unwrap()
    };
    for (step, found_a, left_a, _) in STEPS {
        read(&mut run, step, Moment::AsFound, Output::Shorted, found_a);
        if step == 5 {
            let slip = read(&mut run, 5, Moment::AsLeft, Output::Shorted, 66.0);
            run.correct(slip.number, "6.60", 6.60).unwrap();
        } else {
            read(&mut run, step, Moment::AsLeft, Output::Shorted, left_a);
        }
    }
    run.prove(ProtectionProof {
        protection: ProtectionKind::Overcurrent,
        output: Output::Shorted,
        set_rms_a: Some(6.93),
        set_within_ratio: Some(0.02),
        shown_a: Some(6.95),
        true_rms_a: Some(6.96),
        acted: true,
        time_s: Some(4.2),
        shortest_s: Some(3.0),
        longest_s: Some(5.0),
        limits_source: Some("from memory, not verified".into()),
        remark: None,
    })
    .unwrap();
    for (step, _, _, field_a) in STEPS {
        read(&mut run, step, Moment::AsLeft, Output::Field, field_a);
    }
    run.remark("Fan filter cleaned.".into()).unwrap();
    run.close(Closing {
        complete: true,
        person: "A. Person".into(),
        next_due: Some("2027-11-25".parse().unwrap()),
        remark: None,
    })
    .unwrap();
    let visit = run.visit().clone();
    (run.into_journal(), visit)
}

/// Its record, as numbers and as pages.
pub(crate) fn record(regulator: &str) -> (VisitRecordDocument, Writing) {
    let (logbook, visit) = visit(regulator);
    let bench = Bench::of(visit.opening()).unwrap();
    let cards = VisitCards::of(&logbook, &visit).unwrap();
    let document = VisitRecordDocument::new(&visit, &bench, &cards).unwrap();
    let writing = visit_writing(&document, visit_figures(&visit, &bench).unwrap());
    (document, writing)
}

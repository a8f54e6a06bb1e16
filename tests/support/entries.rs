//! Invented entries for logbooks: aerodrome "Kestrel Moor", which is nowhere.

use jiff::Timestamp;
use loopcrest::description::{Description, sheet_text};
use loopcrest::logbook::{Clock, Logbook};
use loopcrest::meter::Archetype;
use loopcrest::procedure::entry::{
    Closing, Conditions, Judgement, MeterCard, Moment, Opening, Output, ReadingTaken, RegulatorCard,
};
use loopcrest::procedure::{Entry, Journal};

pub(crate) const PERSON: &str = "A. Person";

/// A clock that stands still.
pub(crate) fn at(text: &str) -> Clock {
    Clock::Fixed(text.parse::<Timestamp>().unwrap())
}

/// The same logbook, written to by someone at a fixed time.
pub(crate) fn written_to(logbook: Logbook) -> Logbook {
    logbook.with_person(PERSON).unwrap().with_clock(at("2026-11-25T09:00:00Z"))
}

pub(crate) fn memory() -> Logbook {
    written_to(Logbook::in_memory().unwrap())
}

pub(crate) fn regulator(name: &str) -> Entry {
    Entry::Regulator(RegulatorCard {
        name: name.into(),
        place: "vault 3, Kestrel Moor (invented)".into(),
        serial: None,
        description: "title = \"invented\"\n".into(),
        remark: None,
    })
}

pub(crate) fn meter(name: &str) -> Entry {
    let sheet = sheet_text(name, &Archetype::GeneralTrueRmsClamp.sheet());
    Entry::Meter(MeterCard { name: name.into(), serial: None, sheet, remark: None })
}

/// An opening whose readings can be judged: the embedded example with a true-RMS clamp.
pub(crate) fn opening(regulator: &str, day: &str) -> Entry {
    Entry::Opening(Box::new(Opening {
        regulator: regulator.into(),
        circuit: Some("C-3".into()),
        meter: "M-1".into(),
        day: day.parse().unwrap(),
        person: PERSON.into(),
        conditions: Conditions::default(),
        description: Description::EMBEDDED_TEXT.into(),
        sheet: sheet_text("M-1", &Archetype::GeneralTrueRmsClamp.sheet()),
        procedure: String::new(),
        conformance_probability: 0.95,
    }))
}

pub(crate) fn reading(step: u32, moment: Moment, shown_a: f64) -> Entry {
    Entry::Reading(Box::new(ReadingTaken {
        step,
        moment,
        output: Output::Shorted,
        typed: shown_a.to_string(),
        shown_a,
        judgement: None,
        doubts: vec![],
    }))
}

/// A reading with a judgement of invented numbers.
pub(crate) fn judged_reading(step: u32, moment: Moment, shown_a: f64) -> Entry {
    let Entry::Reading(mut taken) = reading(step, moment, shown_a) else { unreachable!() };
    taken.judgement = Some(Judgement {
        nominal_a: 6.6,
        low_a: 6.5,
        high_a: 6.7,
        band_source: "invented".into(),
        suitability: "fit".into(),
        verdict: "invented".into(),
        set_low_a: Some(6.55),
        set_high_a: None,
        true_rms_a: Some(shown_a * 1.001),
        standard_uncertainty_a: Some(0.01),
        expanded_uncertainty_a: Some(0.02),
        coverage_factor: Some(2.0),
        conformance_probability: Some(0.987_654_321),
        simple: Some("inside".into()),
        guarded: None,
        light_ratio: Some(1.0 / 3.0),
        life_ratio: None,
    });
    Entry::Reading(taken)
}

pub(crate) fn closing(complete: bool) -> Entry {
    Entry::Closing(Closing {
        complete,
        person: PERSON.into(),
        next_due: Some("2027-11-25".parse().unwrap()),
        remark: None,
    })
}

/// Opens a visit, and returns its number.
pub(crate) fn open(logbook: &mut Logbook, regulator: &str, day: &str) -> u64 {
    logbook.append(None, None, opening(regulator, day)).unwrap().number
}

/// Two visits, a correction and a withdrawal among them: twelve entries.
pub(crate) fn filled(mut logbook: Logbook) -> Logbook {
    logbook.append(None, None, regulator("R-07")).unwrap();
    logbook.append(None, None, meter("M-1")).unwrap();
    let first = open(&mut logbook, "R-07", "2025-11-20");
    let some = Some(first);
    logbook.append(some, None, judged_reading(5, Moment::AsFound, 6.71)).unwrap();
    let slip = logbook.append(some, None, judged_reading(5, Moment::AsLeft, 66.0)).unwrap();
    logbook.append(some, Some(slip.number), judged_reading(5, Moment::AsLeft, 6.6)).unwrap();
    logbook.append(some, None, closing(true)).unwrap();
    let second = open(&mut logbook, "R-07", "2026-11-25");
    let some = Some(second);
    logbook.append(some, None, judged_reading(5, Moment::AsFound, 6.63)).unwrap();
    let twice = logbook.append(some, None, judged_reading(5, Moment::AsFound, 6.64)).unwrap();
    let reason = Entry::Withdrawal { reason: "entered twice".into() };
    logbook.append(some, Some(twice.number), reason).unwrap();
    logbook.append(some, None, judged_reading(5, Moment::AsLeft, 6.61)).unwrap();
    logbook
}

//! Visits to an invented regulator over six years: every number here is made up.

use jiff::Timestamp;
use jiff::civil::Date;
use loopcrest::error::Result;
use loopcrest::plot::{Figure, drift_figure};
use loopcrest::procedure::entry::{Conditions, Judgement, Moment, Opening, Output, ReadingTaken};
use loopcrest::procedure::history::StepHistory;
use loopcrest::procedure::{Entry, LoggedEntry, Visit};

/// Day, as found and as left on the top step; where both are the same nothing was set.
const READ: [(i16, i8, i8, f64, f64); 6] = [
    (2020, 10, 6, 6.47, 6.60),
    (2021, 10, 12, 6.61, 6.61),
    (2022, 10, 4, 6.65, 6.65),
    (2023, 10, 10, 6.67, 6.60),
    (2024, 10, 8, 6.62, 6.62),
    (2025, 10, 7, 6.64, 6.64),
];
const STANDARD_UNCERTAINTY_A: f64 = 0.013;
const PERSON: &str = "A. Invented";

/// The drift of the top step through every visit.
///
/// # Errors
/// None in practice.
pub(crate) fn drift() -> Result<Option<Figure>> {
    let visits: Vec<Visit> = READ
        .iter()
        .zip((1..).step_by(10))
        .map(|(read, number)| visit(number, *read))
        .collect::<Result<_>>()?;
    let history = StepHistory::of(&visits, 5, Output::Shorted)?;
    history.map(|history| drift_figure(&history, "R-07 (invented)", 0.95)).transpose()
}

fn visit(number: u64, read: (i16, i8, i8, f64, f64)) -> Result<Visit> {
    let (year, month, day, found_a, left_a) = read;
    let opening = Opening {
        regulator: "R-07".into(),
        circuit: None,
        meter: "the vault's clamp".into(),
        day: Date::constant(year, month, day),
        person: PERSON.into(),
        conditions: Conditions::default(),
        description: String::new(),
        sheet: String::new(),
        procedure: String::new(),
        conformance_probability: 0.95,
    };
    let entries = [
        Entry::Opening(Box::new(opening)),
        reading(Moment::AsFound, found_a),
        reading(Moment::AsLeft, left_a),
    ];
    let logged = entries.into_iter().zip(number..).map(|(entry, place)| LoggedEntry {
        number: place,
        at: Timestamp::UNIX_EPOCH,
        by: PERSON.into(),
        program: "example".into(),
        visit: Some(number),
        replaces: None,
        entry,
        previous_hash: String::new(),
        hash: String::new(),
    });
    Visit::from_entries(logged.collect())
}

/// A reading taken as it stands, against the band of UFC 3-535-01, table 15-3.
fn reading(moment: Moment, shown_a: f64) -> Entry {
    Entry::Reading(Box::new(ReadingTaken {
        step: 5,
        moment,
        output: Output::Shorted,
        typed: shown_a.to_string(),
        shown_a,
        judgement: Some(Judgement {
            nominal_a: 6.6,
            low_a: 6.40,
            high_a: 6.70,
            band_source: "UFC 3-535-01, table 15-3".into(),
            suitability: "fit".into(),
            verdict: String::new(),
            set_low_a: None,
            set_high_a: None,
            true_rms_a: Some(shown_a),
            standard_uncertainty_a: Some(STANDARD_UNCERTAINTY_A),
            expanded_uncertainty_a: None,
            coverage_factor: None,
            conformance_probability: None,
            simple: None,
            guarded: None,
            light_ratio: None,
            life_ratio: None,
        }),
        doubts: Vec::new(),
    }))
}

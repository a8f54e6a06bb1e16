//! Visits to an invented regulator at which the top step alone was read: every number here is made up.

#![allow(dead_code, reason = "each user takes what it needs")]

use jiff::Timestamp;
use jiff::civil::Date;
use loopcrest::error::Result;
use loopcrest::plot::{Figure, drift_figure};
use loopcrest::procedure::entry::{
    Closing, Conditions, Judgement, Moment, Opening, Output, ReadingTaken,
};
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
const PERSON: &str = "A. Invented";

/// The drift of the top step through every visit.
///
/// # Errors
/// None in practice.
pub(crate) fn drift() -> Result<Option<Figure>> {
    let visits: Vec<Visit> = READ
        .iter()
        .zip((1..).step_by(10))
        .map(|((year, month, day, found_a, left_a), number)| {
            let day = Date::constant(*year, *month, *day);
            let invented = InventedVisit { number, day, ..InventedVisit::default() };
            invented.read(*found_a, *left_a)
        })
        .collect::<Result<_>>()?;
    let history = StepHistory::of(&visits, 5, Output::Shorted)?;
    history.map(|history| drift_figure(&history, "R-07 (invented)", 0.95)).transpose()
}

/// What differs from one invented visit to the next.
#[derive(Clone, Copy, Debug)]
pub(crate) struct InventedVisit {
    /// Number of its first entry.
    pub(crate) number: u64,
    /// Its day.
    pub(crate) day: Date,
    /// The meter, which shows the true current.
    pub(crate) meter: &'static str,
    /// Its standard uncertainty.
    pub(crate) standard_uncertainty_a: f64,
    /// Whether it was closed as complete; else it is open.
    pub(crate) is_complete: bool,
}

impl Default for InventedVisit {
    fn default() -> Self {
        Self {
            number: 1,
            day: Date::constant(2020, 10, 6),
            meter: "the vault's clamp",
            standard_uncertainty_a: 0.013,
            is_complete: false,
        }
    }
}

impl InventedVisit {
    /// The visit at which this was found and left on the top step.
    ///
    /// # Errors
    /// None in practice.
    pub(crate) fn read(self, found_a: f64, left_a: f64) -> Result<Visit> {
        let opening = Opening {
            regulator: "R-07".into(),
            circuit: None,
            meter: self.meter.into(),
            day: self.day,
            person: PERSON.into(),
            conditions: Conditions::default(),
            description: String::new(),
            sheet: String::new(),
            procedure: String::new(),
            conformance_probability: 0.95,
        };
        let mut entries = vec![
            Entry::Opening(Box::new(opening)),
            self.reading(Moment::AsFound, found_a),
            self.reading(Moment::AsLeft, left_a),
        ];
        if self.is_complete {
            entries.push(Entry::Closing(Closing {
                complete: true,
                person: PERSON.into(),
                next_due: None,
                remark: None,
            }));
        }
        let logged = entries.into_iter().zip(self.number..).map(|(entry, place)| LoggedEntry {
            number: place,
            at: Timestamp::UNIX_EPOCH,
            by: PERSON.into(),
            program: "example".into(),
            visit: Some(self.number),
            replaces: None,
            entry,
            previous_hash: String::new(),
            hash: String::new(),
        });
        Visit::from_entries(logged.collect())
    }

    /// A reading taken as it stands, against the band of UFC 3-535-01, table 15-3.
    fn reading(self, moment: Moment, shown_a: f64) -> Entry {
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
                // One-sided 95 % of a normal distribution.
                set_low_a: Some(6.40 + 1.645 * self.standard_uncertainty_a),
                set_high_a: Some(6.70 - 1.645 * self.standard_uncertainty_a),
                true_rms_a: Some(shown_a),
                standard_uncertainty_a: Some(self.standard_uncertainty_a),
                expanded_uncertainty_a: Some(2.0 * self.standard_uncertainty_a),
                coverage_factor: Some(2.0),
                conformance_probability: None,
                simple: None,
                guarded: None,
                light_ratio: None,
                life_ratio: None,
            }),
            doubts: Vec::new(),
        }))
    }
}

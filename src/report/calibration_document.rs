use schemars::JsonSchema;
use serde::Serialize;

use crate::procedure::entry::ReadingTaken;
use crate::procedure::{Bench, Journal, Run, VisitState};

use super::survey_document::program;
use super::{CAUTIONS, Document, NotePart};

/// How far a calibration is: readings that count, with what they were judged to mean.
#[derive(Debug, Serialize, JsonSchema)]
pub struct CalibrationDocument {
    /// Format number.
    pub format: u32,
    /// Program and version that wrote it.
    pub program: String,
    /// Number of the visit; `null` when it was only tried out.
    pub visit: Option<u64>,
    /// The regulator.
    pub regulator: String,
    /// The circuit, where it is known.
    pub circuit: Option<String>,
    /// The meter.
    pub meter: String,
    /// Day of the visit.
    pub day: String,
    /// Who did it.
    pub person: String,
    /// `open`, `complete` or `broken-off`.
    pub state: &'static str,
    /// Probability with which the true current must lie in its band.
    pub conformance_probability: f64,
    /// The readings that count, in the order they were taken.
    pub readings: Vec<ReadingTakenPart>,
    /// Whether every step was left right and the protections acted in time.
    pub is_good: bool,
    /// What keeps it from being good.
    pub shortfalls: Vec<String>,
    /// What was not done yet.
    pub missing: Vec<String>,
    /// What has to be said beside the readings, such as a meter without a data sheet.
    pub notes: Vec<NotePart>,
    /// Dangers to people the readings tell of, such as a clamp on a loop whose voltage is above its
    /// category; not counted in `is_good`.
    pub dangers: Vec<String>,
    /// Before anyone goes to the regulator.
    pub cautions: Vec<&'static str>,
}

/// A number read from the meter.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ReadingTakenPart {
    /// Number of its entry; `null` when it was only tried out.
    pub entry: Option<u64>,
    /// Number of the step.
    pub step: u32,
    /// `as-found` or `as-left`.
    pub moment: &'static str,
    /// `shorted` or `field`.
    pub output: &'static str,
    /// What was typed.
    pub typed: String,
    /// The number on the display.
    pub shown_a: f64,
    /// Nominal of the step.
    pub nominal_a: Option<f64>,
    /// Lower edge of its band.
    pub band_low_a: Option<f64>,
    /// Upper edge of its band.
    pub band_high_a: Option<f64>,
    /// Lowest number the meter may show.
    pub set_low_a: Option<f64>,
    /// Highest number the meter may show.
    pub set_high_a: Option<f64>,
    /// The true RMS current it means.
    pub true_rms_a: Option<f64>,
    /// Its expanded uncertainty.
    pub expanded_uncertainty_a: Option<f64>,
    /// Probability that the true current lies in the band.
    pub conformance_probability: Option<f64>,
    /// Light against the light at the nominal.
    pub light_ratio: Option<f64>,
    /// Lamp life against the life at the nominal.
    pub life_ratio: Option<f64>,
    /// Verdict on the meter at this step and output.
    pub suitability: Option<String>,
    /// Whether the number lies in the set-band of a meter that may set the step.
    pub is_accepted: bool,
    /// Why it is not accepted; `null` where it is.
    pub not_accepted: Option<String>,
    /// Codes of what was doubtful.
    pub doubts: Vec<String>,
}

impl CalibrationDocument {
    /// What the entries of a run say; `is_whole` is false for readings alone, which are held to what was
    /// read, `is_kept` for a visit that was only tried out.
    #[must_use]
    pub fn new<J: Journal>(run: &Run<J>, is_whole: bool, is_kept: bool) -> Self {
        let shortfalls = if is_whole { run.shortfalls() } else { run.reading_shortfalls() };
        let mut missing = run.missing();
        missing.retain(|line| !shortfalls.contains(line));
        let visit = run.visit();
        let opening = visit.opening();
        let readings = visit
            .readings()
            .map(|(logged, reading)| {
                ReadingTakenPart::new(is_kept.then_some(logged.number), reading)
            })
            .collect();
        Self {
            format: Document::FORMAT,
            program: program(),
            visit: is_kept.then(|| visit.number()),
            regulator: opening.regulator.clone(),
            circuit: opening.circuit.clone(),
            meter: opening.meter.clone(),
            day: opening.day.to_string(),
            person: opening.person.clone(),
            state: match visit.state() {
                VisitState::Open => "open",
                VisitState::Complete => "complete",
                VisitState::Broken => "broken-off",
            },
            conformance_probability: opening.conformance_probability,
            readings,
            is_good: shortfalls.is_empty(),
            shortfalls,
            missing,
            notes: run
                .bench()
                .notes()
                .iter()
                .filter(|note| note.code == Bench::NO_SHEET)
                .map(NotePart::from)
                .collect(),
            dangers: run.dangers(),
            cautions: CAUTIONS.to_vec(),
        }
    }
}

impl ReadingTakenPart {
    fn new(entry: Option<u64>, reading: &ReadingTaken) -> Self {
        let judged = reading.judgement.as_ref();
        Self {
            entry,
            step: reading.step,
            moment: reading.moment.key(),
            output: reading.output.key(),
            typed: reading.typed.clone(),
            shown_a: reading.shown_a,
            nominal_a: judged.map(|judged| judged.nominal_a),
            band_low_a: judged.map(|judged| judged.low_a),
            band_high_a: judged.map(|judged| judged.high_a),
            set_low_a: judged.and_then(|judged| judged.set_low_a),
            set_high_a: judged.and_then(|judged| judged.set_high_a),
            true_rms_a: judged.and_then(|judged| judged.true_rms_a),
            expanded_uncertainty_a: judged.and_then(|judged| judged.expanded_uncertainty_a),
            conformance_probability: judged.and_then(|judged| judged.conformance_probability),
            light_ratio: judged.and_then(|judged| judged.light_ratio),
            life_ratio: judged.and_then(|judged| judged.life_ratio),
            suitability: judged.map(|judged| judged.suitability.clone()),
            is_accepted: reading.is_accepted(),
            not_accepted: reading.why_not_accepted(),
            doubts: reading.doubts.iter().map(|doubt| doubt.code.clone()).collect(),
        }
    }
}

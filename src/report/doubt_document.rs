use schemars::JsonSchema;
use serde::Serialize;

use crate::procedure::entry::MeterDoubt;
use crate::procedure::history::AffectedReading;

use super::Document;
use super::survey_document::program;

/// What past records mean once their meter is found wrong.
#[derive(Debug, Serialize, JsonSchema)]
pub struct DoubtDocument {
    /// Format number.
    pub format: u32,
    /// Program and version that wrote it.
    pub program: String,
    /// The meter.
    pub meter: String,
    /// First day in question.
    pub from: String,
    /// Last day in question.
    pub until: String,
    /// What it showed too much, as a ratio of the true value.
    pub error_ratio: f64,
    /// How that was found.
    pub reason: String,
    /// Entry of the doubt; null where it was only tried out.
    pub entry: Option<u64>,
    /// Every reading it touches.
    pub readings: Vec<AffectedPart>,
    /// How many were taken to lie in their band and did not.
    pub wrongly_accepted: usize,
}

/// One reading that a doubt touches.
#[derive(Debug, Serialize, JsonSchema)]
pub struct AffectedPart {
    /// The regulator.
    pub regulator: String,
    /// The visit.
    pub visit: u64,
    /// The reading's entry.
    pub entry: u64,
    /// Day of the visit.
    pub day: String,
    /// Number of the step.
    pub step: u32,
    /// `as-found` or `as-left`.
    pub moment: &'static str,
    /// `shorted` or `field`.
    pub output: &'static str,
    /// The true current it was taken for, RMS.
    pub taken_for_a: f64,
    /// What it was, best estimate.
    pub was_a: f64,
    /// Lower limit of its band.
    pub low_a: Option<f64>,
    /// Upper limit of its band.
    pub high_a: Option<f64>,
    /// Whether it was taken to lie in its band and did not; null where it was not judged.
    pub wrongly_accepted: Option<bool>,
}

impl DoubtDocument {
    /// From a doubt and what it touches; `entry` is its number in the logbook.
    #[must_use]
    pub fn new(doubt: &MeterDoubt, affected: &[AffectedReading], entry: Option<u64>) -> Self {
        let readings: Vec<AffectedPart> = affected.iter().map(AffectedPart::new).collect();
        let wrong = |part: &&AffectedPart| part.wrongly_accepted == Some(true);
        Self {
            format: Document::FORMAT,
            program: program(),
            meter: doubt.meter.clone(),
            from: doubt.from.to_string(),
            until: doubt.until.to_string(),
            error_ratio: doubt.error_ratio,
            reason: doubt.reason.clone(),
            entry,
            wrongly_accepted: readings.iter().filter(wrong).count(),
            readings,
        }
    }
}

impl AffectedPart {
    fn new(affected: &AffectedReading) -> Self {
        Self {
            regulator: affected.regulator.clone(),
            visit: affected.visit,
            entry: affected.entry,
            day: affected.day.to_string(),
            step: affected.step,
            moment: affected.moment.key(),
            output: affected.output.key(),
            taken_for_a: affected.taken_for_a,
            was_a: affected.was_a,
            low_a: affected.band_a.map(|band| band.0),
            high_a: affected.band_a.map(|band| band.1),
            wrongly_accepted: affected.was_wrongly_accepted(),
        }
    }
}

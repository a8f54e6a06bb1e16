use schemars::JsonSchema;
use serde::Serialize;

use crate::assess::StepCase;
use crate::description::Description;
use crate::meter::{Breakdown, Cause, ErrorLimits, Meter, SimulatedReading};

use super::survey_document::program;
use super::{Document, NotePart, StepPart};

/// What one meter with a data sheet shows of the current of one step, and why.
#[derive(Debug, Serialize, JsonSchema)]
pub struct MeterReadingDocument {
    /// Format number.
    pub format: u32,
    /// Program and version that wrote it.
    pub program: String,
    /// Title of the description.
    pub title: String,
    /// Whether place, equipment and numbers are made up.
    pub invented: bool,
    /// The meter.
    pub meter: String,
    /// Its detector law.
    pub detector: String,
    /// The step.
    pub step: StepPart,
    /// Where the current comes from.
    pub origin: String,
    /// True RMS of the current, mean included.
    pub true_rms_a: f64,
    /// What the display shows; `null` on overload.
    pub shown_a: Option<f64>,
    /// What the number stands for.
    pub indication: String,
    /// Shown minus true; on overload of the number it would have shown.
    pub error_a: f64,
    /// (Shown minus true) over true.
    pub error_ratio: Option<f64>,
    /// The error, cause by cause in the order of the chain; they add up to `error_a`.
    pub causes: Vec<CausePart>,
    /// Full scale of the range.
    pub range_a: f64,
    /// Step of the last digit.
    pub resolution_a: f64,
    /// Crest factor of what arrives at the range.
    pub crest_factor: Option<f64>,
    /// Highest crest factor allowed at this reading on this range.
    pub allowed_crest_factor: Option<f64>,
    /// Share of the time that is clipped.
    pub clipped_share_ratio: f64,
    /// Lowest reading an unsynchronised window can give, before the digits.
    pub window_low_a: Option<f64>,
    /// Highest reading an unsynchronised window can give, before the digits.
    pub window_high_a: Option<f64>,
    /// How far the sheet lets the meter be off at this reading, line by line.
    pub limits: LimitsPart,
    /// What makes the reading doubtful.
    pub notes: Vec<NotePart>,
}

/// What one cause adds to a reading.
#[derive(Debug, Serialize, JsonSchema)]
pub struct CausePart {
    /// The cause.
    pub cause: &'static str,
    /// The cause in words.
    pub words: &'static str,
    /// What the meter would show if its chain ended here.
    pub after_a: f64,
    /// What the cause adds.
    pub error_a: f64,
    /// What the cause adds, relative to the truth.
    pub error_ratio: Option<f64>,
}

/// How far a sheet lets a meter be off, half-widths for either sign; `null` where it says nothing.
#[derive(Debug, Serialize, JsonSchema)]
pub struct LimitsPart {
    /// The accuracy line.
    pub accuracy_a: Option<f64>,
    /// What the crest factor adds.
    pub crest_a: Option<f64>,
    /// The class of the clamp.
    pub clamp_a: Option<f64>,
    /// The conductor off the clamp's centre.
    pub position_a: Option<f64>,
    /// The temperature.
    pub temperature_a: Option<f64>,
    /// Half a step of the display.
    pub resolution_a: f64,
}

impl From<&ErrorLimits> for LimitsPart {
    fn from(limits: &ErrorLimits) -> Self {
        Self {
            accuracy_a: limits.accuracy_a,
            crest_a: limits.crest_a,
            clamp_a: limits.clamp_a,
            position_a: limits.position_a,
            temperature_a: limits.temperature_a,
            resolution_a: limits.resolution_a,
        }
    }
}

impl MeterReadingDocument {
    /// The document of a reading.
    #[must_use]
    pub fn new(
        description: &Description,
        meter: &Meter,
        case: &StepCase,
        reading: &SimulatedReading,
    ) -> Self {
        let breakdown = &reading.breakdown;
        Self {
            format: Document::FORMAT,
            program: program(),
            title: description.title.clone(),
            invented: description.is_invented,
            meter: meter.name.clone(),
            detector: meter.detector.key().to_owned(),
            step: (&case.step).into(),
            origin: case.origin.clone(),
            true_rms_a: breakdown.true_a(),
            shown_a: reading.shown().map(|shown| shown.shown_a()),
            indication: meter.detector.indication().words().to_owned(),
            error_a: breakdown.total_error_a(),
            error_ratio: breakdown.total_error_ratio(),
            causes: causes(breakdown),
            range_a: reading.range.full_scale_a,
            resolution_a: reading.range.resolution_a,
            crest_factor: reading.crest_factor,
            allowed_crest_factor: reading.allowed_crest_factor,
            clipped_share_ratio: reading.clipped_share_ratio,
            window_low_a: reading.window_span_a.map(|(low_a, _)| low_a),
            window_high_a: reading.window_span_a.map(|(_, high_a)| high_a),
            limits: (&reading.limits).into(),
            notes: reading.notes.iter().map(NotePart::from).collect(),
        }
    }
}

fn causes(breakdown: &Breakdown) -> Vec<CausePart> {
    Cause::ALL
        .into_iter()
        .map(|cause| CausePart {
            cause: cause.key(),
            words: cause.words(),
            after_a: breakdown.after_a(cause),
            error_a: breakdown.error_a(cause),
            error_ratio: breakdown.error_ratio(cause),
        })
        .collect()
}

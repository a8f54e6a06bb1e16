use schemars::JsonSchema;
use serde::Serialize;

use crate::assess::instrument::{Requirement, Terms};
use crate::description::sheet_text;
use crate::error::Note;

use super::fitness_document::{TermsPart, VerdictPart};
use super::survey_document::program;
use super::{Document, NotePart};

/// The least demanding data sheet that is fit at every step.
#[derive(Debug, Serialize, JsonSchema)]
pub struct RequirementDocument {
    /// Format number.
    pub format: u32,
    /// Program and version that wrote it.
    pub program: String,
    /// Title of the description.
    pub title: String,
    /// Whether place, equipment and numbers are made up.
    pub invented: bool,
    /// What was asked for.
    pub terms: TermsPart,
    /// The requirement as it could stand in a purchase order, one demand each.
    pub demands: Vec<String>,
    /// Accuracy: part of the reading.
    pub accuracy_ratio: f64,
    /// Accuracy: counts beside it.
    pub accuracy_counts: f64,
    /// The lowest current it must hold at.
    pub lowest_a: f64,
    /// Range it is asked for on.
    pub range_a: f64,
    /// Step of the last digit.
    pub resolution_a: f64,
    /// Crest factor at the full scale of that range.
    pub crest_factor_at_range: f64,
    /// Bandwidth, −3 dB.
    pub bandwidth_hz: f64,
    /// Class of the clamp; `null` when its error is within the accuracy.
    pub clamp_class: Option<&'static str>,
    /// Rated current of the clamp.
    pub clamp_rated_a: Option<f64>,
    /// Largest error by the position of the conductor.
    pub position_ratio: f64,
    /// Measurement category and voltage; `null` when the loop's voltage is not known.
    pub category: Option<String>,
    /// The same as a meter of a description.
    pub toml: String,
    /// What such a meter achieves.
    pub verdicts: Vec<VerdictPart>,
    /// What has to be said beside the result.
    pub notes: Vec<NotePart>,
}

impl RequirementDocument {
    /// The document of a requirement.
    #[must_use]
    pub fn new(
        title: &str,
        invented: bool,
        terms: &Terms,
        requirement: &Requirement,
        notes: &[Note],
    ) -> Self {
        Self {
            format: Document::FORMAT,
            program: program(),
            title: title.to_owned(),
            invented,
            terms: terms.into(),
            demands: requirement.purchase_text(),
            accuracy_ratio: requirement.accuracy_ratio,
            accuracy_counts: requirement.accuracy_counts,
            lowest_a: requirement.lowest_a,
            range_a: requirement.range_a,
            resolution_a: requirement.resolution_a,
            crest_factor_at_range: requirement.crest_factor_at_range,
            bandwidth_hz: requirement.bandwidth_hz,
            clamp_class: requirement.clamp.map(|(class, _)| class.key()),
            clamp_rated_a: requirement.clamp.map(|(_, rated_a)| rated_a),
            position_ratio: requirement.position_ratio,
            category: requirement.category.map(|category| category.words()),
            toml: sheet_text("to be bought", &requirement.sheet),
            verdicts: requirement.verdicts.iter().map(VerdictPart::from).collect(),
            notes: notes.iter().map(NotePart::from).collect(),
        }
    }
}

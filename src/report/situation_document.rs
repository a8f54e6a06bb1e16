use schemars::JsonSchema;
use serde::Serialize;

use crate::description::Description;
use crate::situation::Seen;

use super::survey_document::program;
use super::{CAUTIONS, Document, SituationPart};

/// One situation at the bench: a step, a load, lamps out, meters, and what is then seen.
#[derive(Debug, Serialize, JsonSchema)]
pub struct SituationDocument {
    /// Format number.
    pub format: u32,
    /// Program and version that wrote it.
    pub program: String,
    /// Title of the description.
    pub title: String,
    /// What is seen.
    pub situation: SituationPart,
    /// The current over one solution, a mains period as a rule.
    pub current: CurrentPart,
    /// What anyone going to the equipment must heed.
    pub cautions: Vec<&'static str>,
}

/// A current at equal intervals, for a screen.
#[derive(Debug, Serialize, JsonSchema)]
pub struct CurrentPart {
    /// Time between two values.
    pub interval_s: f64,
    /// The values; the last is the first again.
    pub values_a: Vec<f64>,
}

impl SituationDocument {
    /// Intervals of the current over one solution.
    pub const INTERVALS: usize = 360;

    /// The document of what is seen.
    #[must_use]
    pub fn new(description: &Description, seen: &Seen) -> Self {
        Self {
            format: Document::FORMAT,
            program: program(),
            title: description.title.clone(),
            situation: seen.into(),
            current: seen.into(),
            cautions: CAUTIONS.to_vec(),
        }
    }
}

impl From<&Seen> for CurrentPart {
    fn from(seen: &Seen) -> Self {
        let values_a = seen.screen_points_a(SituationDocument::INTERVALS);
        let duration_s = seen.output.samples_a().len() as f64 * seen.output.sample_interval_s();
        Self { interval_s: duration_s / SituationDocument::INTERVALS as f64, values_a }
    }
}

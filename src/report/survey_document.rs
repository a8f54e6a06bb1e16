use schemars::JsonSchema;
use serde::Serialize;

use crate::assess::{Fitness, Recheck, Survey};
use crate::description::Description;
use crate::error::Note;

use super::parts::StepResultPart;
use super::recheck_part::RecheckPart;
use super::{CAUTIONS, Document, LIMITS, NotePart, SourcedPart};

/// Every meter at every step of a description.
#[derive(Debug, Serialize, JsonSchema)]
pub struct SurveyDocument {
    /// Format number.
    pub format: u32,
    /// Program and version that wrote it.
    pub program: String,
    /// Title of the description.
    pub title: String,
    /// Whether place, equipment and numbers are made up.
    pub invented: bool,
    /// Mains frequency.
    pub frequency_hz: f64,
    /// Name of the step table.
    pub step_table: String,
    /// Exponent of light against voltage.
    pub lamp_light_exponent: SourcedPart,
    /// Exponent of life against voltage.
    pub lamp_life_exponent: SourcedPart,
    /// Exponent of current against voltage.
    pub lamp_current_exponent: SourcedPart,
    /// The meters over all steps.
    pub meters: Vec<MeterSummaryPart>,
    /// The steps, the brightest first.
    pub steps: Vec<StepResultPart>,
    /// The steps read again at another load, when the description has one.
    pub recheck: Option<RecheckPart>,
    /// What was noticed on the way.
    pub notes: Vec<NotePart>,
    /// What the verdicts do not cover.
    pub limits: Vec<&'static str>,
    /// What anyone going to the equipment must heed.
    pub cautions: Vec<&'static str>,
}

/// One meter over all steps.
#[derive(Debug, Serialize, JsonSchema)]
pub struct MeterSummaryPart {
    /// The user's name of the meter.
    pub name: String,
    /// Key of its law.
    pub detector: String,
    /// Whether it is fit at every step, tight at none.
    pub fit_everywhere: bool,
    /// The steps at which its law alone uses more than half of the room to the band's edge.
    pub tight_steps: Vec<u32>,
    /// The steps at which it is not fit, or shows nothing.
    pub unfit_steps: Vec<u32>,
}

impl SurveyDocument {
    /// The document of a survey.
    #[must_use]
    pub fn new(
        description: &Description,
        survey: &Survey,
        recheck: Option<&Recheck>,
        notes: &[Note],
    ) -> Self {
        let lamp = &description.lamp;
        let summary = |(index, meter): (usize, &crate::meter::Meter)| MeterSummaryPart {
            name: meter.name.clone(),
            detector: meter.detector.key().to_owned(),
            fit_everywhere: survey.fit_everywhere(index),
            tight_steps: survey.steps_with(index, &[Fitness::Tight]),
            unfit_steps: survey.steps_with(index, &[Fitness::NotFit, Fitness::Blind]),
        };
        Self {
            format: Document::FORMAT,
            program: program(),
            title: description.title.clone(),
            invented: description.is_invented,
            frequency_hz: description.frequency_hz,
            step_table: description.steps.name().to_owned(),
            lamp_light_exponent: (&lamp.light_exponent).into(),
            lamp_life_exponent: (&lamp.life_exponent).into(),
            lamp_current_exponent: (&lamp.current_exponent).into(),
            meters: survey.meters().iter().enumerate().map(summary).collect(),
            steps: survey.results().iter().map(StepResultPart::from).collect(),
            recheck: recheck.and_then(|recheck| RecheckPart::new(description, recheck)),
            notes: notes.iter().map(NotePart::from).collect(),
            limits: LIMITS.to_vec(),
            cautions: CAUTIONS.to_vec(),
        }
    }
}

/// Program and version for every document.
pub(crate) fn program() -> String {
    concat!("loopcrest ", env!("CARGO_PKG_VERSION")).to_owned()
}

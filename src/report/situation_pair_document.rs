use schemars::JsonSchema;
use serde::Serialize;

use crate::description::Description;
use crate::situation::{MeterSeen, Seen};

use super::survey_document::program;
use super::{CAUTIONS, CurrentPart, Document, SituationPart};

/// Two situations at one bench, side by side.
#[derive(Debug, Serialize, JsonSchema)]
pub struct SituationPairDocument {
    /// Format number.
    pub format: u32,
    /// Program and version that wrote it.
    pub program: String,
    /// Title of the description.
    pub title: String,
    /// What is seen in the one.
    pub one: SituationPart,
    /// Its current over one solution.
    pub one_current: CurrentPart,
    /// What is seen in the other.
    pub other: SituationPart,
    /// Its current over one solution.
    pub other_current: CurrentPart,
    /// The other minus the one.
    pub differences: SituationDifferencePart,
    /// What anyone going to the equipment must heed.
    pub cautions: Vec<&'static str>,
}

/// How far one situation is from another: the other minus the one.
#[derive(Debug, Serialize, JsonSchema)]
pub struct SituationDifferencePart {
    /// True RMS of the current.
    pub rms_a: f64,
    /// Crest factor; `null` where one of them has none.
    pub crest_factor: Option<f64>,
    /// Total harmonic distortion; `null` where one of them has none.
    pub thd_ratio: Option<f64>,
    /// Firing delay.
    pub delay_deg: f64,
    /// True RMS of the output voltage.
    pub output_rms_v: f64,
    /// Apparent power at the output.
    pub output_apparent_va: f64,
    /// Meters that are in both, by name.
    pub meters: Vec<MeterDifferencePart>,
}

/// How far one meter's answer is from its other: the other minus the one.
#[derive(Debug, Serialize, JsonSchema)]
pub struct MeterDifferencePart {
    /// Its name.
    pub name: String,
    /// The number shown; `null` where one of them is an overload.
    pub shown_a: Option<f64>,
    /// (Shown minus true) over true.
    pub error_ratio: Option<f64>,
    /// Whether the verdict is the same in both.
    pub same_verdict: bool,
}

impl SituationPairDocument {
    /// The document of what is seen in both.
    #[must_use]
    pub fn new(description: &Description, one: &Seen, other: &Seen) -> Self {
        Self {
            format: Document::FORMAT,
            program: program(),
            title: description.title.clone(),
            one: one.into(),
            one_current: one.into(),
            other: other.into(),
            other_current: other.into(),
            differences: SituationDifferencePart::new(one, other),
            cautions: CAUTIONS.to_vec(),
        }
    }
}

impl SituationDifferencePart {
    fn new(one: &Seen, other: &Seen) -> Self {
        let known = other.meters.iter().filter_map(|other| {
            let one = one.meters.iter().find(|one| one.meter.name == other.meter.name)?;
            Some(MeterDifferencePart::new(one, other))
        });
        Self {
            rms_a: other.true_rms_a() - one.true_rms_a(),
            crest_factor: less(other.crest_factor(), one.crest_factor()),
            thd_ratio: less(other.thd_ratio(), one.thd_ratio()),
            delay_deg: (other.delay_rad - one.delay_rad).to_degrees(),
            output_rms_v: other.power.voltage_rms_v - one.power.voltage_rms_v,
            output_apparent_va: other.power.apparent_va - one.power.apparent_va,
            meters: known.collect(),
        }
    }
}

impl MeterDifferencePart {
    fn new(one: &MeterSeen, other: &MeterSeen) -> Self {
        Self {
            name: other.meter.name.clone(),
            shown_a: less(other.shown_a(), one.shown_a()),
            error_ratio: less(other.error_ratio(), one.error_ratio()),
            same_verdict: other.verdict_words() == one.verdict_words(),
        }
    }
}

fn less(other: Option<f64>, one: Option<f64>) -> Option<f64> {
    Some(other? - one?)
}

use schemars::JsonSchema;
use serde::Serialize;

use crate::description::{Description, RegulatorSetup};
use crate::error::Note;
use crate::series::{LampsOutEstimate, LampsOutPoint, LampsOutSweep, MeasuredShape, ShapeQuantity};

use super::survey_document::program;
use super::{Document, NotePart};

/// Every step as the share of lamps out grows, and what a measured shape says of that share.
#[derive(Debug, Serialize, JsonSchema)]
pub struct LampsOutDocument {
    /// Format number.
    pub format: u32,
    /// Program and version that wrote it.
    pub program: String,
    /// Title of the description.
    pub title: String,
    /// Whether place, equipment and numbers are made up.
    pub invented: bool,
    /// The regulator in words.
    pub regulator: String,
    /// The group that has lamps out; absent when every group has the same share.
    pub group: Option<String>,
    /// The steps, the brightest first.
    pub steps: Vec<LampsOutStepPart>,
    /// The reverse question; absent when none was asked.
    pub estimate: Option<LampsOutEstimatePart>,
    /// What has to be said beside the result.
    pub notes: Vec<NotePart>,
}

/// One step over the share of lamps out.
#[derive(Debug, Serialize, JsonSchema)]
pub struct LampsOutStepPart {
    /// Number of the step.
    pub step: u32,
    /// Its nominal true RMS, held throughout.
    pub nominal_rms_a: f64,
    /// The smallest share at which it can no longer be held; absent when it is held at all of them.
    pub limit_ratio: Option<f64>,
    /// The shares, rising.
    pub points: Vec<LampsOutPointPart>,
}

/// One step at one share of lamps out.
#[derive(Debug, Serialize, JsonSchema)]
pub struct LampsOutPointPart {
    /// Share of the fixtures whose secondary is open.
    pub open_ratio: f64,
    /// Whether the step is held.
    pub held: bool,
    /// Peak over RMS of the current.
    pub crest_factor: Option<f64>,
    /// Error of an average-responding meter.
    pub average_error_ratio: Option<f64>,
    /// Largest magnitude of the output voltage.
    pub output_peak_v: Option<f64>,
    /// Highest voltage across an open secondary.
    pub open_secondary_peak_v: Option<f64>,
    /// Firing delay.
    pub delay_deg: Option<f64>,
}

/// The likely share of lamps out behind a measured shape.
#[derive(Debug, Serialize, JsonSchema)]
pub struct LampsOutEstimatePart {
    /// Number of the step that was measured.
    pub step: u32,
    /// `crest-factor` or `average-over-rms`.
    pub quantity: &'static str,
    /// What was measured.
    pub measured: f64,
    /// Its standard uncertainty.
    pub standard_uncertainty: f64,
    /// The most likely share.
    pub most_likely_ratio: f64,
    /// Mean of the distribution.
    pub mean_ratio: f64,
    /// Its standard deviation.
    pub standard_uncertainty_ratio: f64,
    /// Probability of the stretches together.
    pub coverage: f64,
    /// The shares that together hold that probability, from and to.
    pub stretches: Vec<(f64, f64)>,
    /// Distance of the measured value from the nearest possible one, in standard uncertainties.
    pub miss: f64,
}

impl LampsOutDocument {
    /// The document of a sweep over the steps.
    #[must_use]
    pub fn new(
        description: &Description,
        setup: &RegulatorSetup,
        group: Option<&str>,
        sweeps: &[LampsOutSweep],
        notes: &[Note],
    ) -> Self {
        Self {
            format: Document::FORMAT,
            program: program(),
            title: description.title.clone(),
            invented: description.is_invented,
            regulator: setup.rating_words(),
            group: group.map(str::to_owned),
            steps: sweeps.iter().map(LampsOutStepPart::from).collect(),
            estimate: None,
            notes: notes.iter().map(NotePart::from).collect(),
        }
    }

    /// The same with the answer to the reverse question, and what has to be said beside it.
    #[must_use]
    pub fn with_estimate(
        mut self,
        step: u32,
        measured: &MeasuredShape,
        estimate: &LampsOutEstimate,
        notes: &[Note],
    ) -> Self {
        self.estimate = Some(LampsOutEstimatePart {
            step,
            quantity: match measured.quantity {
                ShapeQuantity::CrestFactor => "crest-factor",
                ShapeQuantity::AverageOverRms => "average-over-rms",
            },
            measured: measured.value,
            standard_uncertainty: measured.standard_uncertainty,
            most_likely_ratio: estimate.most_likely_ratio,
            mean_ratio: estimate.mean_ratio,
            standard_uncertainty_ratio: estimate.standard_uncertainty_ratio,
            coverage: LampsOutEstimate::COVERAGE,
            stretches: estimate.stretches.clone(),
            miss: estimate.miss,
        });
        self.notes.extend(notes.iter().map(NotePart::from));
        self
    }
}

impl From<&LampsOutSweep> for LampsOutStepPart {
    fn from(sweep: &LampsOutSweep) -> Self {
        Self {
            step: sweep.step.number,
            nominal_rms_a: sweep.step.nominal.a(),
            limit_ratio: sweep.limit_ratio,
            points: sweep.points.iter().map(LampsOutPointPart::from).collect(),
        }
    }
}

impl From<&LampsOutPoint> for LampsOutPointPart {
    fn from(point: &LampsOutPoint) -> Self {
        let shape = point.shape.as_ref();
        Self {
            open_ratio: point.open_ratio,
            held: shape.is_some(),
            crest_factor: shape.map(|shape| shape.crest_factor),
            average_error_ratio: shape.map(|shape| shape.average_responding_error_ratio),
            output_peak_v: shape.map(|shape| shape.output_peak_v),
            open_secondary_peak_v: shape.and_then(|shape| shape.open_secondary_peak_v),
            delay_deg: shape.map(|shape| shape.delay_rad.to_degrees()),
        }
    }
}

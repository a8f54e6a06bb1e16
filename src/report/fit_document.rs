use schemars::JsonSchema;
use serde::Serialize;

use crate::description::{Description, RegulatorSetup};
use crate::error::Note;
use crate::identify::{Combination, Estimate, Fitted, FittedCapture, Prediction};
use crate::waveform::TrueRms;

use super::parts::{PlacementPart, placement_key};
use super::survey_document::program;
use super::{Document, NotePart};

/// A regulator fitted to captures: is it this one?
#[derive(Debug, Serialize, JsonSchema)]
pub struct FitDocument {
    /// Format number.
    pub format: u32,
    /// Program and version that wrote it.
    pub program: String,
    /// Title of the description the fit began from.
    pub title: String,
    /// Whether place, equipment and numbers are made up.
    pub invented: bool,
    /// The regulator in words.
    pub regulator: String,
    /// `explained`, `not-explained`, `not-told` or `noise-unknown`.
    pub answer: &'static str,
    /// Sum of the squared residuals over their standard uncertainty, over the freedom.
    pub reduced_chi_square: Option<f64>,
    /// Residuals minus numbers estimated.
    pub freedom: usize,
    /// Probability of residuals as large as these from noise alone.
    pub chance_ratio: Option<f64>,
    /// Factor by which the uncertainties are enlarged.
    pub enlargement_ratio: f64,
    /// Derivatives the search took.
    pub iterations: usize,
    /// Every free value.
    pub estimates: Vec<FitEstimatePart>,
    /// Correlation of the estimates, in their order.
    pub correlation: Option<Vec<Vec<f64>>>,
    /// Combinations of values, from the best to the worst told.
    pub combinations: Vec<FitCombinationPart>,
    /// The captures used.
    pub captures: Vec<FitCapturePart>,
    /// Captures that were held out.
    pub predictions: Vec<FitPredictionPart>,
    /// What has to be said beside the result.
    pub notes: Vec<NotePart>,
}

/// What the user says of a capture.
#[derive(Clone, Debug, PartialEq)]
pub struct FitSetting {
    /// Brightness step it was taken at.
    pub step: Option<u32>,
    /// Load as a share of the rated load resistance.
    pub load_ratio: f64,
}

/// A free value.
#[derive(Debug, Serialize, JsonSchema)]
pub struct FitEstimatePart {
    /// Its key, as in a description.
    pub value_of: String,
    /// Unit of the numbers; empty for a ratio.
    pub unit: &'static str,
    /// Where the search began.
    pub start: f64,
    /// The estimate.
    pub value: f64,
    /// Its standard uncertainty.
    pub standard_uncertainty: Option<f64>,
    /// Lower end of the 95 % interval.
    pub low: Option<f64>,
    /// Upper end.
    pub high: Option<f64>,
    /// Whether the captures tell it.
    pub told: bool,
}

impl From<&Estimate> for FitEstimatePart {
    fn from(estimate: &Estimate) -> Self {
        Self {
            value_of: estimate.parameter.key(),
            unit: estimate.parameter.unit(),
            start: estimate.start,
            value: estimate.value,
            standard_uncertainty: estimate.standard_uncertainty,
            low: estimate.interval.map(|(low, _)| low),
            high: estimate.interval.map(|(_, high)| high),
            told: estimate.is_told,
        }
    }
}

/// Values that move together.
#[derive(Debug, Serialize, JsonSchema)]
pub struct FitCombinationPart {
    /// Standard uncertainties of the lines for a relative change of 1.
    pub singular_value: f64,
    /// Relative standard uncertainty of the combination.
    pub standard_uncertainty_ratio: Option<f64>,
    /// Share of each free value, in the order of the estimates.
    pub shares: Vec<f64>,
    /// The large ones in words.
    pub words: String,
}

impl FitCombinationPart {
    fn new(singular_value: f64, combination: &Combination) -> Self {
        Self {
            singular_value,
            standard_uncertainty_ratio: combination.standard_uncertainty_ratio,
            shares: combination.shares.iter().map(|(_, share)| *share).collect(),
            words: combination.words(),
        }
    }
}

/// A capture beside the fitted regulator.
#[derive(Debug, Serialize, JsonSchema)]
pub struct FitCapturePart {
    /// The file.
    pub file: String,
    /// Step it was taken at.
    pub step: Option<u32>,
    /// Where the held current lies against that step's band.
    #[schemars(with = "Option<PlacementPart>")]
    pub placement: Option<&'static str>,
    /// Load as a share of the rated load resistance.
    pub load_ratio: f64,
    /// True RMS that was held.
    pub held_rms_a: f64,
    /// Firing delay with which the fitted regulator holds it.
    pub delay_deg: f64,
    /// RMS of the difference between measured and fitted.
    pub residual_rms_a: f64,
    /// The same over the held current.
    pub residual_ratio: f64,
    /// RMS that noise alone would leave.
    pub noise_rms_a: Option<f64>,
    /// Harmonic orders compared.
    pub orders: usize,
    /// Measured crest factor.
    pub measured_crest_factor: Option<f64>,
    /// Fitted crest factor.
    pub fitted_crest_factor: Option<f64>,
    /// Error of an average-responding meter on the measured current.
    pub measured_average_error_ratio: Option<f64>,
    /// The same on the fitted current.
    pub fitted_average_error_ratio: Option<f64>,
}

impl FitCapturePart {
    fn new(description: &Description, capture: &FittedCapture, setting: &FitSetting) -> Self {
        let step = setting.step.and_then(|number| description.steps.step(number));
        let held = TrueRms::stated_a(capture.held_rms_a);
        let (measured_crest_factor, fitted_crest_factor) = capture.crest_factors();
        let (measured_average_error_ratio, fitted_average_error_ratio) =
            capture.average_error_ratios();
        Self {
            file: capture.name.clone(),
            step: setting.step,
            placement: step.map(|step| placement_key(step.band.place(held))),
            load_ratio: setting.load_ratio,
            held_rms_a: capture.held_rms_a,
            delay_deg: capture.delay_rad.to_degrees(),
            residual_rms_a: capture.residual_rms_a,
            residual_ratio: capture.residual_rms_a / capture.held_rms_a,
            noise_rms_a: capture.noise_rms_a,
            orders: capture.orders,
            measured_crest_factor,
            fitted_crest_factor,
            measured_average_error_ratio,
            fitted_average_error_ratio,
        }
    }
}

/// A capture that was held out.
#[derive(Debug, Serialize, JsonSchema)]
pub struct FitPredictionPart {
    /// The capture beside its prediction.
    #[serde(flatten)]
    pub capture: FitCapturePart,
    /// RMS of the difference to be expected from noise and the fitted values' uncertainty.
    pub expected_rms_a: Option<f64>,
    /// Difference over what was to be expected.
    pub surprise_ratio: Option<f64>,
}

impl FitDocument {
    /// The document of a fit and of what it predicts, each capture with what the user says of it.
    #[must_use]
    pub fn new(
        description: &Description,
        setup: &RegulatorSetup,
        fitted: &Fitted,
        settings: &[FitSetting],
        predictions: &[(Prediction, FitSetting)],
        noticed: &[Note],
    ) -> Self {
        let part = |capture, setting| FitCapturePart::new(description, capture, setting);
        let told = &fitted.told;
        Self {
            format: Document::FORMAT,
            program: program(),
            title: description.title.clone(),
            invented: description.is_invented,
            regulator: setup.rating_words(),
            answer: fitted.answer.key(),
            reduced_chi_square: fitted.reduced_chi_square,
            freedom: fitted.freedom,
            chance_ratio: fitted.chance_ratio,
            enlargement_ratio: fitted.enlargement_ratio,
            iterations: fitted.iterations,
            estimates: fitted.estimates.iter().map(FitEstimatePart::from).collect(),
            correlation: fitted.correlation.clone(),
            combinations: told
                .singular_values
                .iter()
                .zip(&told.combinations)
                .map(|(s, combination)| FitCombinationPart::new(*s, combination))
                .collect(),
            captures: fitted.captures.iter().zip(settings).map(|(c, s)| part(c, s)).collect(),
            predictions: predictions
                .iter()
                .map(|(prediction, setting)| FitPredictionPart {
                    capture: part(&prediction.capture, setting),
                    expected_rms_a: prediction.expected_rms_a,
                    surprise_ratio: prediction.surprise_ratio,
                })
                .collect(),
            notes: fitted.notes.iter().chain(noticed).map(NotePart::from).collect(),
        }
    }
}

use schemars::JsonSchema;
use serde::Serialize;

use crate::assess::instrument::{CorrectedDisplay, Reason, SetBand, ShownCurrent, Terms, Verdict};
use crate::error::Note;

use super::survey_document::program;
use super::{CAUTIONS, Document, NotePart, StepPart};

/// Real meters against the steps of a description: verdicts with the numbers that make them.
#[derive(Debug, Serialize, JsonSchema)]
pub struct FitnessDocument {
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
    /// Meter by meter, step by step.
    pub verdicts: Vec<VerdictPart>,
    /// What has to be said beside the result.
    pub notes: Vec<NotePart>,
    /// Before anyone goes to the regulator.
    pub cautions: Vec<&'static str>,
}

/// What a verdict is asked for.
#[derive(Debug, Serialize, JsonSchema)]
pub struct TermsPart {
    /// Probability with which the true current must lie in its band.
    pub conformance_probability: f64,
    /// The day certificates are held against; `null` when they are not.
    pub today: Option<String>,
    /// Temperature of the meter, where it is known.
    pub ambient_degc: Option<f64>,
    /// Standard uncertainty of the mean of repeated readings, over the reading; `null` when none were
    /// repeated.
    pub repeatability_ratio: Option<f64>,
    /// Its degrees of freedom.
    pub repeatability_degrees_of_freedom: Option<f64>,
}

impl From<&Terms> for TermsPart {
    fn from(terms: &Terms) -> Self {
        Self {
            conformance_probability: terms.conformance_probability,
            today: terms.today.map(|today| today.to_string()),
            ambient_degc: terms.ambient_degc,
            repeatability_ratio: terms.scatter.map(|scatter| scatter.standard_ratio),
            repeatability_degrees_of_freedom: terms
                .scatter
                .map(|scatter| scatter.degrees_of_freedom),
        }
    }
}

/// Whether one meter may set one step.
#[derive(Debug, Serialize, JsonSchema)]
pub struct VerdictPart {
    /// The meter.
    pub meter: String,
    /// The step.
    pub step: StepPart,
    /// `shorted` or `loaded`.
    pub connection: &'static str,
    /// `fit`, `fit-with-care` or `not-fit`.
    pub verdict: &'static str,
    /// The verdict in one sentence.
    pub sentence: String,
    /// Why the meter must not be on the loop there, whatever it shows; `null` where nothing is known
    /// against it. The verdict does not count it.
    pub danger: Option<String>,
    /// Why it is no plain "fit".
    pub reasons: Vec<String>,
    /// Lowest of shown over true over the possible currents.
    pub gain_low_ratio: Option<f64>,
    /// Highest of shown over true over the possible currents.
    pub gain_high_ratio: Option<f64>,
    /// What a reading in the middle of the band means.
    pub dead_centre: Option<ShownPart>,
    /// What the number on the display that was asked about means.
    pub shown: Option<ShownPart>,
    /// Half of the band over the expanded uncertainty.
    pub test_uncertainty_ratio: Option<f64>,
    /// How that ratio is defined.
    pub test_uncertainty_definition: Option<&'static str>,
    /// What the meter must show.
    pub set_band: Option<SetBandPart>,
    /// For a meter that does not measure true RMS: what it shows of single currents.
    pub corrected: Vec<CorrectedPart>,
    /// What makes meter or reading doubtful.
    pub notes: Vec<NotePart>,
}

/// What a number on the display means.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ShownPart {
    /// The number on the display.
    pub shown_a: f64,
    /// The true RMS current.
    pub true_rms_a: f64,
    /// Its standard uncertainty.
    pub standard_uncertainty_a: f64,
    /// Its expanded uncertainty.
    pub expanded_uncertainty_a: f64,
    /// The coverage factor of that.
    pub coverage_factor: f64,
    /// Where the coverage factor comes from.
    pub coverage_basis: &'static str,
    /// Probability that the true current lies in the band.
    pub conformance_probability: f64,
}

impl From<&ShownCurrent> for ShownPart {
    fn from(shown: &ShownCurrent) -> Self {
        Self {
            shown_a: shown.shown_a,
            true_rms_a: shown.true_a,
            standard_uncertainty_a: shown.standard_uncertainty_a,
            expanded_uncertainty_a: shown.expanded.half_width,
            coverage_factor: shown.expanded.coverage_factor,
            coverage_basis: shown.expanded.basis.words(),
            conformance_probability: shown.conformance_probability,
        }
    }
}

/// What a meter must show.
#[derive(Debug, Serialize, JsonSchema)]
pub struct SetBandPart {
    /// Lowest number that may be shown.
    pub low_a: f64,
    /// Highest number that may be shown.
    pub high_a: f64,
    /// Share of the band that is left.
    pub kept_ratio: f64,
}

impl From<&SetBand> for SetBandPart {
    fn from(set_band: &SetBand) -> Self {
        let SetBand { low_a, high_a, kept_ratio, .. } = *set_band;
        Self { low_a, high_a, kept_ratio }
    }
}

/// What a meter that does not measure true RMS shows of one current.
#[derive(Debug, Serialize, JsonSchema)]
pub struct CorrectedPart {
    /// The current.
    pub origin: String,
    /// What the meter shows of the nominal.
    pub nominal_shown_a: f64,
    /// What it must show, for this current alone.
    pub set_band: Option<SetBandPart>,
    /// Never to be shown without this.
    pub warning: &'static str,
}

impl From<&CorrectedDisplay> for CorrectedPart {
    fn from(corrected: &CorrectedDisplay) -> Self {
        Self {
            origin: corrected.origin.clone(),
            nominal_shown_a: corrected.nominal_shown_a,
            set_band: corrected.set_band.as_ref().map(SetBandPart::from),
            warning: CorrectedDisplay::WARNING,
        }
    }
}

impl From<&Verdict> for VerdictPart {
    fn from(verdict: &Verdict) -> Self {
        Self {
            meter: verdict.meter.clone(),
            step: (&verdict.step).into(),
            connection: verdict.connection.key(),
            verdict: verdict.suitability.key(),
            sentence: verdict.sentence(),
            danger: verdict.danger().map(|note| note.text.clone()),
            reasons: verdict.reasons.iter().map(Reason::words).collect(),
            gain_low_ratio: verdict.gain.map(|gain| gain.low_ratio),
            gain_high_ratio: verdict.gain.map(|gain| gain.high_ratio),
            dead_centre: verdict.dead_centre.as_ref().map(ShownPart::from),
            shown: None,
            test_uncertainty_ratio: verdict.test_ratio.map(|test| test.ratio),
            test_uncertainty_definition: verdict.test_ratio.map(|test| test.definition.words()),
            set_band: verdict.set_band.as_ref().map(SetBandPart::from),
            corrected: verdict.corrected.iter().map(CorrectedPart::from).collect(),
            notes: verdict.notes.iter().map(NotePart::from).collect(),
        }
    }
}

impl FitnessDocument {
    /// The document of these verdicts.
    #[must_use]
    pub fn new(
        title: &str,
        invented: bool,
        terms: &Terms,
        verdicts: &[Verdict],
        notes: &[Note],
    ) -> Self {
        Self {
            format: Document::FORMAT,
            program: program(),
            title: title.to_owned(),
            invented,
            terms: terms.into(),
            verdicts: verdicts.iter().map(VerdictPart::from).collect(),
            notes: notes.iter().map(NotePart::from).collect(),
            cautions: CAUTIONS.to_vec(),
        }
    }

    /// With what a number on the display means for each verdict, in their order.
    #[must_use]
    pub fn with_shown(mut self, shown: &[Option<ShownCurrent>]) -> Self {
        for (part, shown) in self.verdicts.iter_mut().zip(shown) {
            part.shown = shown.as_ref().map(ShownPart::from);
        }
        self
    }
}

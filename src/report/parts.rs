use schemars::JsonSchema;
use serde::Serialize;

use crate::assess::{Fitness, Judgement, StepResult};
use crate::cited::Cited;
use crate::error::Note;
use crate::lamp::LifeChange;
use crate::meter::{Detector, Reading};
use crate::regulator::{Placement, Step};
use crate::spectrum::{HarmonicLine, Spectrum};
use crate::waveform::{Measures, TrueRms};

/// Orders listed in a document.
const LISTED_ORDERS: usize = 50;
/// Highest order in a document's THD.
pub(super) const THD_ORDER: usize = 50;

/// A brightness step.
#[derive(Debug, Serialize, JsonSchema)]
pub struct StepPart {
    /// Number; 1 is the dimmest.
    pub number: u32,
    /// Nominal true RMS current.
    pub nominal_rms_a: f64,
    /// Lower edge of the band.
    pub band_low_a: f64,
    /// Upper edge of the band.
    pub band_high_a: f64,
    /// Where the band comes from and how well that is known.
    pub band_source: String,
    /// What a reader of the band must know.
    pub band_remark: Option<String>,
}

impl From<&Step> for StepPart {
    fn from(step: &Step) -> Self {
        Self {
            number: step.number,
            nominal_rms_a: step.nominal.a(),
            band_low_a: step.band.low_a(),
            band_high_a: step.band.high_a(),
            band_source: step.source.to_string(),
            band_remark: step.remark.clone(),
        }
    }
}

/// Time-domain measures and distortion of a current.
#[derive(Debug, Serialize, JsonSchema)]
pub struct MeasuresPart {
    /// Mean.
    pub mean_a: f64,
    /// True RMS, mean included.
    pub rms_a: f64,
    /// True RMS, mean removed.
    pub rms_ac_a: f64,
    /// Average rectified value, mean included.
    pub arv_a: f64,
    /// Average rectified value, mean removed.
    pub arv_ac_a: f64,
    /// Largest sample with its sign.
    pub max_a: f64,
    /// Smallest sample with its sign.
    pub min_a: f64,
    /// Largest magnitude, mean included.
    pub peak_a: f64,
    /// Largest magnitude, mean removed.
    pub peak_ac_a: f64,
    /// Peak over RMS, mean included.
    pub crest_factor: Option<f64>,
    /// Peak over RMS, mean removed.
    pub crest_factor_ac: Option<f64>,
    /// RMS over average rectified value, mean included.
    pub form_factor: Option<f64>,
    /// RMS over average rectified value, mean removed.
    pub form_factor_ac: Option<f64>,
    /// RMS of the fundamental.
    pub fundamental_rms_a: f64,
    /// Total harmonic distortion relative to the fundamental, orders 2 to `thd_highest_order`.
    pub thd_ratio: Option<f64>,
    /// Highest order in `thd_ratio`.
    pub thd_highest_order: usize,
    /// Everything that is neither fundamental nor mean, relative to the fundamental.
    pub distortion_ratio: Option<f64>,
    /// Harmonic lines.
    pub harmonics: Vec<LinePart>,
}

impl MeasuresPart {
    /// The measures of a current and its spectrum.
    #[must_use]
    pub fn new(measures: &Measures, spectrum: &Spectrum) -> Self {
        Self {
            mean_a: measures.mean_a,
            rms_a: measures.dc.rms_a,
            rms_ac_a: measures.ac.rms_a,
            arv_a: measures.dc.arv_a,
            arv_ac_a: measures.ac.arv_a,
            max_a: measures.max_a,
            min_a: measures.min_a,
            peak_a: measures.dc.peak_a,
            peak_ac_a: measures.ac.peak_a,
            crest_factor: measures.dc.crest_factor(),
            crest_factor_ac: measures.ac.crest_factor(),
            form_factor: measures.dc.form_factor(),
            form_factor_ac: measures.ac.form_factor(),
            fundamental_rms_a: spectrum.fundamental_rms_a(),
            thd_ratio: spectrum.thd_ratio(THD_ORDER),
            thd_highest_order: THD_ORDER.min(spectrum.highest_order()),
            distortion_ratio: spectrum.distortion_ratio(),
            harmonics: spectrum.lines(1..=LISTED_ORDERS).map(LinePart::from).collect(),
        }
    }
}

/// One harmonic line.
#[derive(Debug, Serialize, JsonSchema)]
pub struct LinePart {
    /// Order; 1 is the fundamental.
    pub order: usize,
    /// RMS of the line.
    pub rms_a: f64,
    /// Phase against a sine that starts with the period.
    pub phase_deg: f64,
}

impl From<HarmonicLine> for LinePart {
    fn from(line: HarmonicLine) -> Self {
        Self { order: line.order, rms_a: line.rms_a, phase_deg: line.phase_rad.to_degrees() }
    }
}

/// What one detector law shows of a current.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ReadingPart {
    /// Key of the law.
    pub detector: String,
    /// What the number stands for.
    pub indication: String,
    /// The number shown.
    pub shown_a: f64,
    /// Shown minus true RMS.
    pub error_a: f64,
    /// (Shown minus true) over true.
    pub error_ratio: Option<f64>,
}

impl ReadingPart {
    /// A reading against the true RMS.
    #[must_use]
    pub fn new(detector: Detector, reading: &Reading, truth: TrueRms) -> Self {
        Self {
            detector: detector.key().to_owned(),
            indication: reading.indication().words().to_owned(),
            shown_a: reading.shown_a(),
            error_a: reading.error_a(truth),
            error_ratio: reading.error_ratio(truth),
        }
    }
}

/// One meter at one step.
#[derive(Debug, Serialize, JsonSchema)]
pub struct MeterPart {
    /// The user's name of the meter.
    pub name: String,
    /// Key of its law.
    pub detector: String,
    /// What its number stands for.
    pub indication: String,
    /// What it shows when the true RMS is the nominal.
    pub shown_a: f64,
    /// Shown minus true.
    pub error_a: f64,
    /// (Shown minus true) over true.
    pub error_ratio: f64,
    /// What it must show for the true current to be at the band's lower edge.
    pub set_band_low_a: Option<f64>,
    /// What it must show for the true current to be at the band's upper edge.
    pub set_band_high_a: Option<f64>,
    /// True RMS when the step is trimmed until this meter shows the nominal.
    pub trimmed_true_rms_a: Option<f64>,
    /// Where that lies.
    #[schemars(with = "Option<PlacementPart>")]
    pub trimmed_placement: Option<&'static str>,
    /// How much of the way from nominal to the band's edge that is; above 1 is outside.
    pub trimmed_band_share_ratio: Option<f64>,
    /// Light then, against the nominal; absent where the law cannot say.
    pub trimmed_light_ratio: Option<f64>,
    /// Whether the light law holds at that current.
    pub trimmed_light_credible: Option<bool>,
    /// Lamp life then, against the nominal.
    pub trimmed_life: Option<LifePart>,
    /// Verdict.
    #[schemars(with = "FitnessPart")]
    pub fitness: &'static str,
}

impl From<&Judgement> for MeterPart {
    fn from(judgement: &Judgement) -> Self {
        let trimmed = judgement.trimmed;
        let effect = trimmed.map(|trimmed| trimmed.effect);
        Self {
            name: judgement.meter.name.clone(),
            detector: judgement.meter.detector.key().to_owned(),
            indication: judgement.shown.indication().words().to_owned(),
            shown_a: judgement.shown.shown_a(),
            error_a: judgement.error_a,
            error_ratio: judgement.error_ratio,
            set_band_low_a: judgement.set_band_a.map(|(low_a, _)| low_a),
            set_band_high_a: judgement.set_band_a.map(|(_, high_a)| high_a),
            trimmed_true_rms_a: trimmed.map(|trimmed| trimmed.true_rms.a()),
            trimmed_placement: trimmed.map(|trimmed| placement_key(trimmed.placement)),
            trimmed_band_share_ratio: trimmed.and_then(|trimmed| trimmed.band_share_ratio),
            trimmed_light_ratio: effect.and_then(|effect| effect.light_ratio),
            trimmed_light_credible: effect.map(|effect| effect.light_credible),
            trimmed_life: effect.map(|effect| effect.life.into()),
            fitness: fitness_key(judgement.fitness),
        }
    }
}

/// Lamp life against a reference, as far as the law can say.
#[derive(Debug, Serialize, JsonSchema)]
#[serde(tag = "says", content = "ratio", rename_all = "kebab-case")]
pub enum LifePart {
    /// A ratio.
    Ratio(f64),
    /// Longer, by more than the law can say.
    MuchLonger,
    /// Shorter, by more than the law can say.
    MuchShorter,
    /// Far below the lamp's rating, where the law does not hold.
    NotGoverning,
}

impl From<LifeChange> for LifePart {
    fn from(change: LifeChange) -> Self {
        match change {
            LifeChange::Ratio(ratio) => Self::Ratio(ratio),
            LifeChange::MuchLonger => Self::MuchLonger,
            LifeChange::MuchShorter => Self::MuchShorter,
            LifeChange::NotGoverning => Self::NotGoverning,
        }
    }
}

/// A number from the world with its source.
#[derive(Debug, Serialize, JsonSchema)]
pub struct SourcedPart {
    /// The number.
    pub value: f64,
    /// Its source and how well that is known.
    pub source: String,
}

impl From<&Cited<f64>> for SourcedPart {
    fn from(cited: &Cited<f64>) -> Self {
        Self { value: cited.value, source: cited.source.to_string() }
    }
}

/// A finding that is no failure.
#[derive(Debug, Serialize, JsonSchema)]
pub struct NotePart {
    /// Stable short name.
    pub code: &'static str,
    /// One sentence.
    pub text: String,
}

impl From<&Note> for NotePart {
    fn from(note: &Note) -> Self {
        Self { code: note.code, text: note.text.clone() }
    }
}

/// One step with everything computed at it.
#[derive(Debug, Serialize, JsonSchema)]
pub struct StepResultPart {
    /// The step.
    #[serde(flatten)]
    pub step: StepPart,
    /// Where its current comes from.
    pub current_origin: String,
    /// Measures of that current at the nominal.
    pub measures: MeasuresPart,
    /// Every meter.
    pub meters: Vec<MeterPart>,
}

impl From<&StepResult> for StepResultPart {
    fn from(result: &StepResult) -> Self {
        Self {
            step: (&result.step).into(),
            current_origin: result.origin.clone(),
            measures: MeasuresPart::new(&result.measures, &result.spectrum),
            meters: result.judgements.iter().map(MeterPart::from).collect(),
        }
    }
}

/// Where a current lies against a band.
#[derive(JsonSchema)]
#[schemars(rename_all = "kebab-case")]
#[expect(dead_code, reason = "names the words of a field in the schema")]
pub(super) enum PlacementPart {
    /// Below the band.
    Low,
    /// In the band, its edges included.
    Inside,
    /// Above the band.
    High,
}

/// Whether a meter may set a step.
#[derive(JsonSchema)]
#[schemars(rename_all = "kebab-case")]
#[expect(dead_code, reason = "names the words of a field in the schema")]
enum FitnessPart {
    /// It may.
    Fit,
    /// It may, but its law alone uses more than half of the room to the band's edge.
    Tight,
    /// It may not: trimming by it ends outside the band.
    NotFit,
    /// It shows nothing of this current.
    Blind,
}

pub(super) fn placement_key(placement: Placement) -> &'static str {
    match placement {
        Placement::Low => "low",
        Placement::Inside => "inside",
        Placement::High => "high",
    }
}

fn fitness_key(fitness: Fitness) -> &'static str {
    match fitness {
        Fitness::Fit => "fit",
        Fitness::Tight => "tight",
        Fitness::NotFit => "not-fit",
        Fitness::Blind => "blind",
    }
}

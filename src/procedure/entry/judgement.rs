use serde::{Deserialize, Serialize};

use crate::assess::instrument::{SetBand, Suitability};

/// What a number on the display was judged to mean, with the numbers that made it so. Computed from
/// the visit's opening and the number shown; the same again at any time.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Judgement {
    /// Nominal of the step.
    pub nominal_a: f64,
    /// Lower limit of its band.
    pub low_a: f64,
    /// Upper limit of its band.
    pub high_a: f64,
    /// Where the band comes from.
    pub band_source: String,
    /// Whether the meter may set this step with this output, as [`Suitability::key`].
    ///
    /// [`Suitability::key`]: crate::assess::instrument::Suitability::key
    pub suitability: String,
    /// The verdict on the meter, in words, with its reasons.
    pub verdict: String,
    /// Lowest number the meter may show for the step to be accepted; absent where there is none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub set_low_a: Option<f64>,
    /// Highest number the meter may show.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub set_high_a: Option<f64>,
    /// Best estimate of the true current, RMS; absent where the meter's sheet does not say enough.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub true_rms_a: Option<f64>,
    /// Its standard uncertainty.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub standard_uncertainty_a: Option<f64>,
    /// Its expanded uncertainty.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub expanded_uncertainty_a: Option<f64>,
    /// Coverage factor of that.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub coverage_factor: Option<f64>,
    /// Probability that the true current lies in the band.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub conformance_probability: Option<f64>,
    /// Outcome under simple acceptance, as [`Outcome::key`].
    ///
    /// [`Outcome::key`]: crate::uncertainty::decision::Outcome::key
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub simple: Option<String>,
    /// Outcome with a guard band of the expanded uncertainty.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub guarded: Option<String>,
    /// Light against the light at the nominal, at the best estimate; absent where the law does not
    /// hold.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub light_ratio: Option<f64>,
    /// Lamp life against the life at the nominal.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub life_ratio: Option<f64>,
}

impl Judgement {
    /// Whether a number shown lies in the set-band, and the meter may set the step at all.
    #[must_use]
    pub fn accepts(&self, shown_a: f64) -> bool {
        let Some((low_a, high_a)) = self.set_low_a.zip(self.set_high_a) else { return false };
        self.suitability != Suitability::NotFit.key() && SetBand::holds(low_a, high_a, shown_a)
    }
}

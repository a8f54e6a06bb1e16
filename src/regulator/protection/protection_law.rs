use std::f64::consts::FRAC_1_SQRT_2;

use crate::circuit::SenseLaw;
use crate::waveform::Waveform;

/// What the detector of a protection takes for the current.
///
/// # Formula
/// true RMS: √(mean i²); average: π/(2√2) · mean |i|; peak: max |i| / √2; all over the window.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum ProtectionLaw {
    /// The true RMS.
    #[default]
    TrueRms,
    /// The rectified mean, scaled as for a sine.
    Average,
    /// The peak, scaled as for a sine.
    Peak,
}

impl ProtectionLaw {
    /// Every law, in the order of tables.
    pub const ALL: [Self; 3] = [Self::TrueRms, Self::Average, Self::Peak];

    /// Scale of a peak: one over the crest factor of a sine.
    const PEAK_SCALE: f64 = FRAC_1_SQRT_2;

    /// The name used in files.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::TrueRms => "true-rms",
            Self::Average => "average",
            Self::Peak => "peak",
        }
    }

    /// The law with that name.
    #[must_use]
    pub fn from_key(key: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|law| law.key() == key)
    }

    /// Plain words for tables.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::TrueRms => "true-RMS",
            Self::Average => "average-responding",
            Self::Peak => "peak-responding",
        }
    }

    /// The detector's number from the mean square, the rectified mean and the peak of its window.
    #[must_use]
    pub fn shown_a(self, mean_square_a2: f64, arv_a: f64, peak_a: f64) -> f64 {
        match self {
            Self::TrueRms => mean_square_a2.max(0.0).sqrt(),
            Self::Average => SenseLaw::SINE_FORM_FACTOR * arv_a,
            Self::Peak => Self::PEAK_SCALE * peak_a,
        }
    }

    /// The detector's number over the true RMS of a periodic current; `None` when nothing flows.
    ///
    /// 1 for a true-RMS detector, and for every law on a sine.
    #[must_use]
    pub fn gain(self, current: &Waveform) -> Option<f64> {
        let measures = current.measures().dc;
        let rms_a = measures.rms_a;
        (rms_a > 0.0).then(|| self.shown_a(rms_a * rms_a, measures.arv_a, measures.peak_a) / rms_a)
    }
}

use crate::waveform::TrueRms;

use super::Indication;

/// A number on a meter's face, together with what it stands for.
///
/// The number of an average- or peak-responding meter is not a current: it cannot be judged
/// against a band or turned into light. Only [`Reading::true_rms`] opens that door.
///
/// # Example
/// ```compile_fail
/// use loopcrest::meter::Detector;
/// use loopcrest::regulator::Band;
/// use loopcrest::waveform::{Coupling, Scale, Shape, Synthesis};
/// let measures = Synthesis::new(Shape::Sine, Scale::RmsA(6.6)).waveform().unwrap().measures();
/// let reading = Detector::PeakResponding(Coupling::Ac).read(&measures);
/// Band::new(6.4, 6.7).unwrap().place(reading); // a reading is not a true RMS current
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    indication: Indication,
    shown_a: f64,
}

impl Reading {
    pub(super) fn new(indication: Indication, shown_a: f64) -> Self {
        Self { indication, shown_a }
    }

    /// What the number stands for.
    #[must_use]
    pub fn indication(&self) -> Indication {
        self.indication
    }

    /// The number on the face; an ampere of its own kind.
    #[must_use]
    pub fn shown_a(&self) -> f64 {
        self.shown_a
    }

    /// The true RMS current, if that is what the meter shows.
    #[must_use]
    pub fn true_rms(&self) -> Option<TrueRms> {
        (self.indication == Indication::TrueRms).then(|| TrueRms::stated_a(self.shown_a))
    }

    /// Shown minus true.
    #[must_use]
    pub fn error_a(&self, truth: TrueRms) -> f64 {
        self.shown_a - truth.a()
    }

    /// (Shown minus true) over true; `None` when the true current is zero.
    #[must_use]
    pub fn error_ratio(&self, truth: TrueRms) -> Option<f64> {
        (truth.a() > 0.0).then(|| self.shown_a / truth.a() - 1.0)
    }
}

use crate::error::Result;
use crate::regulator::protection::{ActingCurrent, ProtectionLaw};
use crate::waveform::Waveform;

use super::SetPoint;

/// A detector law on a current in service: where a protection with it really acts.
#[derive(Clone, Debug)]
pub struct FooledDetector {
    /// The stage, by its place from 0.
    pub stage: usize,
    /// The current in words.
    pub current: String,
    /// The set-point.
    pub set_rms_a: f64,
    /// Where it acts.
    pub acting: ActingCurrent,
}

impl FooledDetector {
    /// Every law that the shape of a current fools, at a set-point on that current.
    ///
    /// # Errors
    /// As [`ActingCurrent::of`].
    pub fn of(point: &SetPoint, words: &str, now: &Waveform) -> Result<Vec<Self>> {
        let set_rms_a = point.set.a();
        let laws = ProtectionLaw::ALL.into_iter().filter(|law| *law != ProtectionLaw::TrueRms);
        laws.map(|law| {
            Ok(Self {
                stage: point.stage,
                current: words.to_owned(),
                set_rms_a,
                acting: ActingCurrent::of(law, set_rms_a, &point.current, now)?,
            })
        })
        .collect()
    }

    /// How far from the set-point it acts when its dial was set to it, as a ratio; below zero it acts
    /// early.
    #[must_use]
    pub fn by_dial_ratio(&self) -> f64 {
        self.acting.by_dial_rms_a / self.set_rms_a - 1.0
    }

    /// The same when it was set by trial with the output shorted and a true-RMS meter.
    #[must_use]
    pub fn by_trial_ratio(&self) -> f64 {
        self.acting.by_trial_rms_a / self.set_rms_a - 1.0
    }
}

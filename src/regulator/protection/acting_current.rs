use crate::error::{Error, Result};
use crate::waveform::Waveform;

use super::ProtectionLaw;

/// The true RMS current at which a detector acts that is set to a value meant as true RMS.
///
/// A true-RMS detector acts at that value. Any other is fooled by the shape of the current.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ActingCurrent {
    /// The detector's law.
    pub law: ProtectionLaw,
    /// Its number over the true RMS of this current.
    pub gain: f64,
    /// Where it acts when its dial, scaled for a sine, was set to the value.
    pub by_dial_rms_a: f64,
    /// Where it acts when it was set by trial with the output shorted and a true-RMS meter.
    pub by_trial_rms_a: f64,
}

impl ActingCurrent {
    /// Of a current `now`, the set-point being `set_rms_a`; `shorted` is the current of the trial.
    ///
    /// # Formula
    /// by dial: set/g, by trial: set · g_shorted/g, g the gain of the law on either current.
    ///
    /// # Errors
    /// `Inconsistent` when nothing flows in one of the currents.
    pub fn of(
        law: ProtectionLaw,
        set_rms_a: f64,
        shorted: &Waveform,
        now: &Waveform,
    ) -> Result<Self> {
        let gain = |current: &Waveform| {
            law.gain(current)
                .ok_or_else(|| Error::inconsistent("no current flows: a detector shows nothing"))
        };
        let (gain_shorted, gain_now) = (gain(shorted)?, gain(now)?);
        Ok(Self {
            law,
            gain: gain_now,
            by_dial_rms_a: set_rms_a / gain_now,
            by_trial_rms_a: set_rms_a * gain_shorted / gain_now,
        })
    }
}

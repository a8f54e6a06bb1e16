use std::sync::Arc;

use crate::error::{Error, Result};
use crate::regulator::{Load, ResonantRegulator};
use crate::waveform::Waveform;

use super::Lines;

/// A captured current at a known load.
#[derive(Clone, Debug)]
pub struct Observation {
    /// The user's name of it.
    pub name: String,
    /// What was connected.
    pub load: Arc<dyn Load>,
    /// Its harmonic lines.
    pub lines: Lines,
    /// Mains frequency of the capture.
    pub frequency_hz: f64,
}

impl Observation {
    /// Whole periods of a current with the load that was connected.
    ///
    /// # Errors
    /// As [`Lines::of`], with the name.
    pub fn new(
        name: impl Into<String>,
        waveform: &Waveform,
        load: Arc<dyn Load>,
        highest_order: usize,
    ) -> Result<Self> {
        let name = name.into();
        let lines =
            Lines::of(waveform, highest_order).map_err(|error| error.with_context(name.clone()))?;
        Ok(Self { name, load, lines, frequency_hz: waveform.frequency_hz() })
    }

    /// The same with the standard uncertainty of each line's real and imaginary part given, from a
    /// record of the clamp alone, say, instead of the scatter between periods.
    #[must_use]
    pub fn with_noise_a(mut self, noise_a: f64, freedom: usize) -> Self {
        (self.lines.noise_a, self.lines.noise_freedom) = (Some(noise_a), freedom);
        self
    }

    /// A regulator on the mains of this capture.
    pub(super) fn on_its_mains(&self, regulator: &ResonantRegulator) -> Result<ResonantRegulator> {
        let mut regulator = regulator.clone();
        let ratio = self.frequency_hz / regulator.values.rated_frequency_hz;
        regulator.supply =
            regulator.supply.with_frequency_ratio(ratio).map_err(|error: Error| {
                error
                    .with_context(self.name.clone())
                    .with_hint("is the rated frequency of the description that of this mains?")
            })?;
        Ok(regulator)
    }
}

use crate::error::{Bounds, Error, Result};
use crate::waveform::Waveform;

use super::super::CutOptions;

/// How a record is cut into periods.
#[derive(Clone, Debug, PartialEq)]
pub struct PeriodOptions {
    /// Lowest mains frequency looked for.
    pub min_frequency_hz: f64,
    /// Highest mains frequency looked for.
    pub max_frequency_hz: f64,
    /// The frequency, when the caller knows it; then it is not followed.
    pub frequency_hz: Option<f64>,
    /// Where periods begin.
    pub start: PeriodStart,
    /// Samples per period of the grid; `None` is a power of two, at least 256 and at least as many
    /// as the record has, up to 4096.
    pub samples_per_period: Option<usize>,
}

/// Where the periods of a stretch begin.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum PeriodStart {
    /// At the rising zero crossing of the fundamental.
    #[default]
    RisingZero,
    /// At the first sample of each stretch without a gap.
    FirstSample,
}

/// Least and most samples per period of the grid that is chosen.
const GRID: (usize, usize) = (256, 4096);

impl PeriodOptions {
    /// Where a mains frequency may be looked for.
    pub const FREQUENCY_HZ: Bounds = Bounds::new("mains frequency", "Hz", 1.0, 1e5);

    /// The same options, when they make sense.
    ///
    /// # Errors
    /// `OutOfRange` for a frequency or a grid out of bounds; `Inconsistent` for an empty range.
    pub fn checked(&self) -> Result<&Self> {
        let (low_hz, high_hz) = (self.min_frequency_hz, self.max_frequency_hz);
        for hz in [Some(low_hz), Some(high_hz), self.frequency_hz].into_iter().flatten() {
            Self::FREQUENCY_HZ.check(hz)?;
        }
        if low_hz >= high_hz {
            return Err(Error::inconsistent(format!(
                "the frequency range {low_hz} to {high_hz} Hz is empty"
            )));
        }
        if let Some(n) = self.samples_per_period {
            Waveform::SAMPLES_PER_PERIOD.check(n as f64)?;
            if n % 2 == 1 {
                return Err(Error::inconsistent("half cycles need an even grid"));
            }
        }
        Ok(self)
    }

    /// The options of a single cut with the same frequency range.
    pub(super) fn cutting(&self) -> CutOptions {
        CutOptions {
            min_frequency_hz: self.min_frequency_hz,
            max_frequency_hz: self.max_frequency_hz,
            ..CutOptions::default()
        }
    }

    /// Samples per period of the grid for a record with so many.
    pub(super) fn grid(&self, period_samples: f64) -> usize {
        let own = (period_samples.ceil() as usize).next_power_of_two();
        self.samples_per_period.unwrap_or_else(|| own.clamp(GRID.0, GRID.1))
    }
}

impl Default for PeriodOptions {
    /// 40 to 70 Hz, followed, from rising zero crossings.
    fn default() -> Self {
        Self {
            min_frequency_hz: 40.0,
            max_frequency_hz: 70.0,
            frequency_hz: None,
            start: PeriodStart::RisingZero,
            samples_per_period: None,
        }
    }
}

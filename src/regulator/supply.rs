use std::f64::consts::SQRT_2;

use crate::circuit::{Source, Tone};
use crate::error::{Bounds, Result};

/// The mains as it is, against the mains as rated.
///
/// # Example
/// ```
/// use loopcrest::regulator::Supply;
/// let low = Supply::nominal().with_voltage_ratio(0.9).unwrap();
/// assert_eq!(low.voltage_ratio, 0.9);
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Supply {
    /// Voltage over rated voltage.
    pub voltage_ratio: f64,
    /// Frequency over rated frequency.
    pub frequency_ratio: f64,
    /// Harmonics: order, amplitude over that of the fundamental, phase.
    pub harmonics: Vec<(u32, f64, f64)>,
}

impl Supply {
    /// Voltage over rated voltage.
    pub const VOLTAGE_RATIO: Bounds = Bounds::new("supply voltage over rated", "", 0.2, 2.0);
    /// Frequency over rated frequency.
    pub const FREQUENCY_RATIO: Bounds = Bounds::new("supply frequency over rated", "", 0.8, 1.25);
    /// Amplitude of a harmonic over that of the fundamental.
    pub const HARMONIC_RATIO: Bounds =
        Bounds::new("supply harmonic over fundamental", "", 0.0, 0.5);

    /// Rated voltage and frequency, no harmonics.
    #[must_use]
    pub fn nominal() -> Self {
        Self { voltage_ratio: 1.0, frequency_ratio: 1.0, harmonics: Vec::new() }
    }

    /// The same with another voltage.
    ///
    /// # Errors
    /// `OutOfRange` outside [`Self::VOLTAGE_RATIO`].
    pub fn with_voltage_ratio(mut self, ratio: f64) -> Result<Self> {
        self.voltage_ratio = Self::VOLTAGE_RATIO.check(ratio)?;
        Ok(self)
    }

    /// The same with another frequency.
    ///
    /// # Errors
    /// `OutOfRange` outside [`Self::FREQUENCY_RATIO`].
    pub fn with_frequency_ratio(mut self, ratio: f64) -> Result<Self> {
        self.frequency_ratio = Self::FREQUENCY_RATIO.check(ratio)?;
        Ok(self)
    }

    /// The same with a harmonic added.
    ///
    /// # Errors
    /// `OutOfRange` for an order or amplitude out of bounds.
    pub fn with_harmonic(mut self, order: u32, ratio: f64, phase_rad: f64) -> Result<Self> {
        const ORDER: Bounds = Bounds::new("order of a supply harmonic", "", 2.0, 60.0);
        ORDER.check(f64::from(order))?;
        self.harmonics.push((order, Self::HARMONIC_RATIO.check(ratio)?, phase_rad));
        Ok(self)
    }

    /// The voltage as a source, for a rated RMS voltage.
    #[must_use]
    pub fn source(&self, rated_rms_v: f64) -> Source {
        let peak_v = SQRT_2 * rated_rms_v * self.voltage_ratio;
        let mut tones = vec![Tone { order: 1, amplitude: peak_v, phase_rad: 0.0 }];
        tones.extend(self.harmonics.iter().map(|&(order, ratio, phase_rad)| Tone {
            order,
            amplitude: peak_v * ratio,
            phase_rad,
        }));
        Source::Tones(tones)
    }

    /// Whether a half-wave symmetric solution can exist.
    #[must_use]
    pub fn is_half_wave_symmetric(&self) -> bool {
        self.harmonics.iter().all(|(order, ratio, _)| order % 2 == 1 || *ratio == 0.0)
    }
}

impl Default for Supply {
    fn default() -> Self {
        Self::nominal()
    }
}

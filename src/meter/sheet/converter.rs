use crate::error::{Bounds, Result};

use super::Window;

/// What turns the conditioned current into a number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Converter {
    /// Analogue: a movement or an averaging circuit, no samples.
    Analogue,
    /// Samples of a number of bits.
    Sampling {
        /// Bits over the span from minus to plus the peak limit of the range.
        bits: u32,
        /// Samples each second.
        sample_rate_hz: f64,
        /// The stretch one reading is computed from.
        window: Window,
    },
}

impl Converter {
    /// Bits of a converter.
    pub const BITS: Bounds = Bounds::new("bits of the converter", "", 4.0, 32.0);
    /// Sample rate of a converter.
    pub const SAMPLE_RATE_HZ: Bounds =
        Bounds::new("sample rate of the converter", "Hz", 100.0, 1e9);

    /// The step between two codes on a range with this peak limit; `None` when analogue.
    ///
    /// # Formula
    /// 2 · peak limit / 2^bits
    #[must_use]
    pub fn code_a(&self, peak_limit_a: f64) -> Option<f64> {
        match self {
            Self::Analogue => None,
            Self::Sampling { bits, .. } => {
                Some(2.0 * peak_limit_a * 0.5_f64.powf(f64::from(*bits)))
            }
        }
    }

    /// # Errors
    /// `OutOfRange` for a value outside its bounds.
    pub(super) fn check(&self) -> Result<()> {
        if let Self::Sampling { bits, sample_rate_hz, window } = self {
            Self::BITS.check(f64::from(*bits))?;
            Self::SAMPLE_RATE_HZ.check(*sample_rate_hz)?;
            if let Window::Free { length_s } = window {
                Window::LENGTH_S.check(*length_s)?;
            }
        }
        Ok(())
    }
}

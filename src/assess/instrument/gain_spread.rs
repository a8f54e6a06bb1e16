use crate::meter::{Cause, SimulatedReading};

/// What a meter shows over what flows, before the digits, over all currents of a step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GainSpread {
    /// Lowest gain.
    pub low_ratio: f64,
    /// Highest gain.
    pub high_ratio: f64,
}

impl GainSpread {
    /// The spread over readings; `None` without readings or when nothing is shown or flows.
    #[must_use]
    pub fn of(readings: &[SimulatedReading]) -> Option<Self> {
        let mut spread: Option<Self> = None;
        for reading in readings {
            let true_a = reading.breakdown.true_a();
            let gain = reading.breakdown.after_a(Cause::Converter) / true_a;
            // Less than a millionth shown is nothing on any display.
            if !gain.is_finite() || gain < 1e-6 {
                return None;
            }
            spread = Some(spread.map_or(Self::exactly(gain), |spread| Self {
                low_ratio: spread.low_ratio.min(gain),
                high_ratio: spread.high_ratio.max(gain),
            }));
        }
        spread
    }

    /// One gain alone.
    #[must_use]
    pub fn exactly(gain_ratio: f64) -> Self {
        Self { low_ratio: gain_ratio, high_ratio: gain_ratio }
    }

    /// The gain a reading is corrected by: the middle of the spread.
    #[must_use]
    pub fn middle_ratio(&self) -> f64 {
        0.5 * (self.low_ratio + self.high_ratio)
    }
}

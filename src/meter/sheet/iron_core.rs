use crate::error::{Bounds, Result};

use super::{ClampLimit, TransformerClass};

/// A clamp with an iron core: a current transformer, blind to the mean of the current.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct IronCore {
    /// Rated primary current.
    pub rated_a: f64,
    /// Its accuracy class; `None` when the sheet names none.
    pub class: Option<TransformerClass>,
    /// Corner of the high-pass its magnetising inductance makes; `None` when not stated.
    pub low_cutoff_hz: Option<f64>,
    /// Peak current at which its core saturates; `None` when not stated.
    pub saturation_peak_a: Option<f64>,
}

impl IronCore {
    /// Rated current of a clamp.
    pub const RATED_A: Bounds = Bounds::new("rated current of the clamp", "A", 0.1, 10_000.0);
    /// Corner of a clamp's high-pass.
    pub const LOW_CUTOFF_HZ: Bounds = Bounds::new("low cut-off of the clamp", "Hz", 1e-3, 40.0);
    /// Peak current at which a clamp saturates.
    pub const SATURATION_PEAK_A: Bounds =
        Bounds::new("saturation of the clamp", "A", 0.1, 100_000.0);

    /// How far the class lets the ratio be off at a current; `None` without a class.
    ///
    /// # Formula
    /// As [`TransformerClass::limit`] at current / rated current.
    #[must_use]
    pub fn limit(&self, current_rms_a: f64) -> Option<ClampLimit> {
        self.class.map(|class| class.limit(current_rms_a / self.rated_a))
    }

    /// # Errors
    /// `OutOfRange` for a value outside its bounds.
    pub(super) fn check(&self) -> Result<()> {
        Self::RATED_A.check(self.rated_a)?;
        self.low_cutoff_hz.map(|hz| Self::LOW_CUTOFF_HZ.check(hz)).transpose()?;
        self.saturation_peak_a.map(|a| Self::SATURATION_PEAK_A.check(a)).transpose()?;
        Ok(())
    }
}

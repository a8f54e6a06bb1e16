use crate::error::{Bounds, Result};

/// A clamp with a Hall sensor: it sees the mean of the current, and adds an offset and noise of its
/// own.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hall {
    /// Offset left after zeroing, with its sign.
    pub offset_a: f64,
    /// RMS of its own noise.
    pub noise_rms_a: f64,
    /// Peak current at which it saturates; `None` when not stated.
    pub saturation_peak_a: Option<f64>,
}

impl Hall {
    /// Offset of a Hall clamp.
    pub const OFFSET_A: Bounds = Bounds::new("offset of the clamp", "A", -100.0, 100.0);
    /// Noise of a clamp.
    pub const NOISE_RMS_A: Bounds = Bounds::new("noise of the clamp", "A", 0.0, 100.0);

    /// # Errors
    /// `OutOfRange` for a value outside its bounds.
    pub(super) fn check(&self) -> Result<()> {
        Self::OFFSET_A.check(self.offset_a)?;
        Self::NOISE_RMS_A.check(self.noise_rms_a)?;
        let bounds = super::IronCore::SATURATION_PEAK_A;
        self.saturation_peak_a.map(|a| bounds.check(a)).transpose()?;
        Ok(())
    }
}

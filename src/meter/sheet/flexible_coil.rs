use crate::error::{Bounds, Result};

/// A flexible coil without iron, with an integrator: it cannot saturate, but its integrator leaks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FlexibleCoil {
    /// Corner of the integrator's droop, a high-pass.
    pub droop_hz: f64,
    /// RMS of the integrator's noise.
    pub noise_rms_a: f64,
}

impl FlexibleCoil {
    /// Corner of the integrator's droop.
    pub const DROOP_HZ: Bounds = Bounds::new("droop of the integrator", "Hz", 1e-3, 40.0);

    /// # Errors
    /// `OutOfRange` for a value outside its bounds.
    pub(super) fn check(&self) -> Result<()> {
        Self::DROOP_HZ.check(self.droop_hz)?;
        super::Hall::NOISE_RMS_A.check(self.noise_rms_a)?;
        Ok(())
    }
}

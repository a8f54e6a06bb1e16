use crate::error::{Bounds, Result};

/// A filament lamp: a resistance that follows the RMS of its own current.
///
/// The filament is hot and slow: over a half cycle of the mains it is a plain resistance.
///
/// # Formula
/// R(I) = (P₀/I₀²) (I/I₀)^(1/e − 1), from I ∝ V^e
///
/// # Source
/// e = 0.55: Fink & Beaty, Standard Handbook for Electrical Engineers, 11th ed., p. 22-8, as quoted
/// in an encyclopaedia article on lamp rerating.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FilamentLamp {
    /// Power at the rated current.
    pub rated_power_w: f64,
    /// Rated current.
    pub rated_rms_a: f64,
    /// Exponent of the current against the voltage.
    pub current_exponent: f64,
}

impl FilamentLamp {
    /// Power of one lamp.
    pub const POWER_W: Bounds = Bounds::new("lamp power", "W", 0.1, 5000.0);
    /// Rated current of a lamp.
    pub const CURRENT_A: Bounds = Bounds::new("rated lamp current", "A", 0.05, 100.0);
    /// Exponent of the current against the voltage; at 1 the lamp is a fixed resistance.
    pub const CURRENT_EXPONENT: Bounds = Bounds::new("lamp current exponent", "", 0.3, 1.0);
    /// The handbook's exponent.
    pub const HANDBOOK_EXPONENT: f64 = 0.55;

    /// A lamp with the handbook's exponent.
    ///
    /// # Errors
    /// `OutOfRange` outside the bounds above.
    pub fn new(rated_power_w: f64, rated_rms_a: f64) -> Result<Self> {
        let lamp = Self { rated_power_w, rated_rms_a, current_exponent: Self::HANDBOOK_EXPONENT };
        lamp.check()?;
        Ok(lamp)
    }

    /// Checks every value.
    ///
    /// # Errors
    /// `OutOfRange` outside the bounds above.
    pub fn check(&self) -> Result<()> {
        Self::POWER_W.check(self.rated_power_w)?;
        Self::CURRENT_A.check(self.rated_rms_a)?;
        Self::CURRENT_EXPONENT.check(self.current_exponent).map(drop)
    }

    /// Resistance of the hot filament at a current.
    #[must_use]
    pub fn resistance_ohm(&self, lamp_rms_a: f64) -> f64 {
        // A cold filament still has about a tenth of its hot resistance: the power law ends there.
        const COLD_RATIO: f64 = 0.1;
        let rated_ohm = self.rated_power_w / (self.rated_rms_a * self.rated_rms_a);
        let ratio = (lamp_rms_a / self.rated_rms_a).powf(1.0 / self.current_exponent - 1.0);
        rated_ohm * ratio.max(COLD_RATIO)
    }
}

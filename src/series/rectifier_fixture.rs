use crate::error::{Bounds, Result};

/// An electronic fixture behind a bridge and a large smoothing capacitor.
///
/// The capacitor holds its voltage, so the bridge opposes the current with a voltage of one size
/// and the current's sign. In the network this is two ideal diodes back to back, each behind a
/// constant voltage, with the resistance of the path in series: while neither conducts, the current
/// goes through the transformer's core alone.
///
/// # Formula
/// v = V sign(i) + R i
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RectifierFixture {
    /// Voltage of the smoothing capacitor with both diodes of the bridge in the path.
    pub dc_v: f64,
    /// Resistance of the conducting path.
    pub path_ohm: f64,
}

impl RectifierFixture {
    /// Voltage behind the bridge.
    pub const DC_V: Bounds = Bounds::new("voltage behind the bridge", "V", 0.1, 1000.0);
    /// Resistance of the conducting path.
    pub const PATH_OHM: Bounds = Bounds::new("resistance of the bridge's path", "ohm", 1e-3, 100.0);

    /// Checks every value.
    ///
    /// # Errors
    /// `OutOfRange` outside the bounds above.
    pub fn check(&self) -> Result<()> {
        Self::DC_V.check(self.dc_v)?;
        Self::PATH_OHM.check(self.path_ohm).map(drop)
    }

    /// The resistance that would take the same power from a sine of that current.
    ///
    /// # Formula
    /// V I_arv / I² + R with I_arv = (2√2/π) I
    #[must_use]
    pub fn resistance_ohm(&self, fixture_rms_a: f64) -> f64 {
        const SINE_FORM_FACTOR: f64 = std::f64::consts::PI / (2.0 * std::f64::consts::SQRT_2);
        self.dc_v / (SINE_FORM_FACTOR * fixture_rms_a.max(1e-3)) + self.path_ohm
    }
}

use crate::error::{Bounds, Result};

/// An electronic fixture that takes the same power at every current.
///
/// To the loop it is the resistance that takes that power at its own RMS current, with an inductance
/// in series for its displacement factor. What its electronics do within a half cycle is not
/// modelled; [`RectifierFixture`](super::RectifierFixture) is the other extreme.
///
/// # Formula
/// R(I) = P / max(I, I_least)², X = R tan(arccos φ), φ the displacement factor, lagging
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ConstantPowerFixture {
    /// Power taken.
    pub power_w: f64,
    /// Displacement factor of its fundamental, lagging; 1 for a resistance.
    pub displacement_factor: f64,
    /// Smallest current, on its side of the transformer, at which it takes its power; below it is a
    /// resistance.
    pub least_rms_a: f64,
}

impl ConstantPowerFixture {
    /// Power of one fixture.
    pub const POWER_W: Bounds = Bounds::new("fixture power", "W", 0.1, 5000.0);
    /// Displacement factor.
    pub const DISPLACEMENT_FACTOR: Bounds = Bounds::new("displacement factor", "", 0.1, 1.0);
    /// Smallest current at which it takes its power.
    pub const LEAST_RMS_A: Bounds =
        Bounds::new("smallest current of an electronic fixture", "A", 0.01, 100.0);

    /// A fixture that takes its power from 2 A on: below the lowest step of a 6.6 A loop (ours, no
    /// source).
    ///
    /// # Errors
    /// `OutOfRange` outside the bounds above.
    pub fn new(power_w: f64, displacement_factor: f64) -> Result<Self> {
        let fixture = Self { power_w, displacement_factor, least_rms_a: 2.0 };
        fixture.check()?;
        Ok(fixture)
    }

    /// Checks every value.
    ///
    /// # Errors
    /// `OutOfRange` outside the bounds above.
    pub fn check(&self) -> Result<()> {
        Self::POWER_W.check(self.power_w)?;
        Self::DISPLACEMENT_FACTOR.check(self.displacement_factor)?;
        Self::LEAST_RMS_A.check(self.least_rms_a).map(drop)
    }

    /// The resistance that takes the power at a current.
    #[must_use]
    pub fn resistance_ohm(&self, fixture_rms_a: f64) -> f64 {
        let current_a = fixture_rms_a.max(self.least_rms_a);
        self.power_w / (current_a * current_a)
    }

    /// Reactance over resistance.
    #[must_use]
    pub fn reactance_ratio(&self) -> f64 {
        self.displacement_factor.acos().tan()
    }
}

use crate::error::{Bounds, Result};

/// Equipment of which only the volt-amperes are known: their power factor is not.
///
/// The load calculation counts the volt-amperes. In the network it is the resistance that takes all of
/// them at its own RMS current: the most active power it can take, and no reactive power. Where the
/// power factor is known, use [`ConstantPowerFixture`](super::ConstantPowerFixture).
///
/// # Formula
/// R(I) = S / max(I, I_least)²
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ApparentFixture {
    /// Apparent power taken.
    pub apparent_va: f64,
    /// Smallest current, on its side of the transformer, at which it takes that; below it is a
    /// resistance.
    pub least_rms_a: f64,
}

impl ApparentFixture {
    /// Apparent power of one piece.
    pub const APPARENT_VA: Bounds = Bounds::new("apparent power of a fixture", "VA", 0.1, 5000.0);
    /// Smallest current at which it takes that.
    pub const LEAST_RMS_A: Bounds = super::ConstantPowerFixture::LEAST_RMS_A;

    /// Equipment that takes its volt-amperes from 2 A on, as
    /// [`ConstantPowerFixture`](super::ConstantPowerFixture) does (ours, no source).
    ///
    /// # Errors
    /// `OutOfRange` outside the bounds above.
    pub fn new(apparent_va: f64) -> Result<Self> {
        let fixture = Self { apparent_va, least_rms_a: 2.0 };
        fixture.check()?;
        Ok(fixture)
    }

    /// Checks every value.
    ///
    /// # Errors
    /// `OutOfRange` outside the bounds above.
    pub fn check(&self) -> Result<()> {
        Self::APPARENT_VA.check(self.apparent_va)?;
        Self::LEAST_RMS_A.check(self.least_rms_a).map(drop)
    }

    /// The resistance that takes the volt-amperes at a current.
    #[must_use]
    pub fn resistance_ohm(&self, fixture_rms_a: f64) -> f64 {
        let current_a = fixture_rms_a.max(self.least_rms_a);
        self.apparent_va / (current_a * current_a)
    }
}

use crate::error::Result;

use super::{ApparentFixture, ConstantPowerFixture, FilamentLamp, RectifierFixture};

/// What hangs on the secondary of an isolating transformer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum FixtureKind {
    /// A filament lamp.
    Lamp(FilamentLamp),
    /// Electronics that take a constant power.
    ConstantPower(ConstantPowerFixture),
    /// Equipment of which only the volt-amperes are known.
    Apparent(ApparentFixture),
    /// Electronics behind a bridge and a smoothing capacitor.
    Rectifier(RectifierFixture),
}

impl FixtureKind {
    /// Checks every value.
    ///
    /// # Errors
    /// `OutOfRange` for a value out of its bounds.
    pub fn check(&self) -> Result<()> {
        match self {
            Self::Lamp(lamp) => lamp.check(),
            Self::ConstantPower(fixture) => fixture.check(),
            Self::Apparent(fixture) => fixture.check(),
            Self::Rectifier(fixture) => fixture.check(),
        }
    }

    /// The resistance it offers at an RMS current of its own, on its side of the transformer.
    #[must_use]
    pub fn resistance_ohm(&self, rms_a: f64) -> f64 {
        match self {
            Self::Lamp(lamp) => lamp.resistance_ohm(rms_a),
            Self::ConstantPower(fixture) => fixture.resistance_ohm(rms_a),
            Self::Apparent(fixture) => fixture.resistance_ohm(rms_a),
            Self::Rectifier(fixture) => fixture.resistance_ohm(rms_a),
        }
    }

    /// The kind in words.
    #[must_use]
    pub fn words(&self) -> &'static str {
        match self {
            Self::Lamp(_) => "filament lamp",
            Self::ConstantPower(_) => "constant-power electronics",
            Self::Apparent(_) => "equipment of unknown power factor",
            Self::Rectifier(_) => "rectifier electronics",
        }
    }
}

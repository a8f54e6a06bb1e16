//! The field as written, before any value is checked against its range.

use serde::Deserialize;
use toml::Spanned;

use super::quantity::{
    Amperes, DegreesCelsius, HenriesPerMetre, Metres, Ohms, OhmsPerMetre, Ratio, VoltAmperes,
    Volts, Watts,
};

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct RawField {
    pub(super) groups_from: Option<Spanned<String>>,
    pub(super) tap: Option<Spanned<Ratio>>,
    pub(super) sizes: Option<Spanned<Vec<Watts>>>,
    pub(super) lamp_tolerance: Option<Spanned<RawLampTolerance>>,
    #[serde(default)]
    pub(super) transformer: RawTransformer,
    #[serde(default)]
    pub(super) group: Vec<Spanned<RawGroup>>,
    #[serde(default)]
    pub(super) cable: Vec<Spanned<RawCable>>,
    pub(super) fault: Option<Spanned<RawFault>>,
}

#[derive(Clone, Copy, Debug, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(super) enum RawLampTolerance {
    Nominal,
    Most,
}

/// Counts are read with their sign, so that a negative one is refused by its range.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct RawGroup {
    pub(super) name: Option<Spanned<String>>,
    pub(super) count: Option<Spanned<i64>>,
    pub(super) kind: Option<Spanned<String>>,
    pub(super) power: Option<Spanned<Watts>>,
    pub(super) apparent_power: Option<Spanned<VoltAmperes>>,
    pub(super) current: Option<Spanned<Amperes>>,
    pub(super) lamps_per_fixture: Option<Spanned<i64>>,
    pub(super) power_factor: Option<Spanned<Ratio>>,
    pub(super) dc_voltage: Option<Spanned<Volts>>,
    pub(super) path_resistance: Option<Spanned<Ohms>>,
    pub(super) open: Option<Spanned<i64>>,
    pub(super) shorted: Option<Spanned<i64>>,
    pub(super) loss: Option<Spanned<Ratio>>,
    #[serde(default)]
    pub(super) transformer: RawTransformer,
}

/// The leakage reactance is at the rated frequency, the knee a sine voltage at it.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct RawTransformer {
    pub(super) rating: Option<Spanned<Watts>>,
    pub(super) primary: Option<Spanned<Amperes>>,
    pub(super) secondary: Option<Spanned<Amperes>>,
    pub(super) knee: Option<Spanned<Volts>>,
    pub(super) iron_linear: Option<Spanned<Amperes>>,
    pub(super) iron_power: Option<Spanned<Amperes>>,
    pub(super) iron_exponent: Option<Spanned<i64>>,
    pub(super) core_loss: Option<Spanned<Ohms>>,
    pub(super) winding_resistance: Option<Spanned<Ohms>>,
    pub(super) leakage_reactance: Option<Spanned<Ohms>>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct RawCable {
    pub(super) name: Option<Spanned<String>>,
    pub(super) conductor: Option<Spanned<String>>,
    pub(super) resistance: Option<Spanned<OhmsPerMetre>>,
    pub(super) reference_temperature: Option<Spanned<DegreesCelsius>>,
    pub(super) inductance: Option<Spanned<HenriesPerMetre>>,
    pub(super) length: Spanned<Metres>,
    pub(super) temperature: Option<Spanned<DegreesCelsius>>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case", tag = "kind")]
pub(super) enum RawFault {
    OutputShort,
    PartialShort { from: Ratio, to: Ratio, resistance: Ohms },
}

//! The file as written, before any value is checked against its range.

use serde::Deserialize;
use toml::Spanned;

use super::quantity::{
    Amperes, ColumnWord, FullScaleWord, Hertz, Ohms, Radians, Ratio, Seconds, Volts,
    VoltsPerAmpere, Watts,
};
use super::raw_sheet::RawSheet;
use super::raw_tolerance::RawTolerance;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct RawDescription {
    pub(super) format: Spanned<i64>,
    pub(super) title: Spanned<String>,
    pub(super) invented: bool,
    #[serde(default)]
    pub(super) supply: RawSupply,
    pub(super) steps: Spanned<RawSteps>,
    pub(super) regulator: Option<Spanned<RawRegulator>>,
    pub(super) field: Option<Spanned<super::field_raw::RawField>>,
    pub(super) current: Option<Spanned<RawCurrent>>,
    pub(super) meter: Vec<RawMeter>,
    #[serde(default)]
    pub(super) lamps: RawLamps,
    #[serde(default)]
    pub(super) tolerance: Vec<RawTolerance>,
    pub(super) generic_tolerances: Option<bool>,
}

/// A file with data sheets alone.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct RawMeters {
    pub(super) meter: Vec<RawMeter>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct RawSupply {
    pub(super) frequency: Option<Spanned<Hertz>>,
    pub(super) actual_frequency: Option<Spanned<Hertz>>,
    pub(super) voltage: Option<Spanned<Ratio>>,
    #[serde(default)]
    pub(super) harmonic: Vec<RawSupplyHarmonic>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct RawSupplyHarmonic {
    pub(super) order: Spanned<u32>,
    pub(super) ratio: Spanned<Ratio>,
    pub(super) phase: Spanned<Radians>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct RawRegulator {
    pub(super) rating: Spanned<Watts>,
    pub(super) current: Option<Spanned<Amperes>>,
    pub(super) load: Spanned<Ratio>,
    pub(super) recheck_load: Option<Spanned<Ratio>>,
    pub(super) sense: Option<Spanned<RawSense>>,
    pub(super) values_are: Option<Spanned<RawValuesOrigin>>,
    #[serde(default)]
    pub(super) values: RawRegulatorValues,
    #[serde(default)]
    pub(super) control: RawControl,
    pub(super) protection: Option<Spanned<super::protection_raw::RawProtection>>,
}

/// Gains as the change of the firing delay for a relative error of 1.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct RawControl {
    pub(super) proportional: Option<Spanned<Radians>>,
    pub(super) integral: Option<Spanned<Radians>>,
    pub(super) delay_min: Option<Spanned<Radians>>,
    pub(super) delay_max: Option<Spanned<Radians>>,
}

#[derive(Clone, Copy, Debug, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(super) enum RawValuesOrigin {
    Generic,
    Fitted,
    Measured,
}

#[derive(Clone, Copy, Debug, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(super) enum RawSense {
    TrueRms,
    Average,
}

/// Reactances are at the rated frequency; the knee is given as the RMS of the sine voltage whose
/// flux peak it is.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct RawRegulatorValues {
    pub(super) source: Option<Spanned<Volts>>,
    pub(super) input_reactance: Option<Spanned<Ohms>>,
    pub(super) input_resistance: Option<Spanned<Ohms>>,
    pub(super) capacitor_reactance: Option<Spanned<Ohms>>,
    pub(super) control_reactance: Option<Spanned<Ohms>>,
    pub(super) control_resistance: Option<Spanned<Ohms>>,
    pub(super) output_reactance: Option<Spanned<Ohms>>,
    pub(super) iron_linear: Option<Spanned<Amperes>>,
    pub(super) iron_power: Option<Spanned<Amperes>>,
    pub(super) iron_knee: Option<Spanned<Volts>>,
    pub(super) iron_exponent: Option<Spanned<u32>>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct RawSteps {
    pub(super) circuit: Option<Spanned<String>>,
    pub(super) bands: Option<Spanned<String>>,
    #[serde(default)]
    pub(super) own: Vec<RawStep>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct RawStep {
    pub(super) number: Spanned<u32>,
    pub(super) nominal: Spanned<Amperes>,
    pub(super) low: Spanned<Amperes>,
    pub(super) high: Spanned<Amperes>,
    pub(super) source: Spanned<String>,
}

/// The current of the steps that have none of their own, and the list of those that have.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct RawCurrent {
    pub(super) shape: Option<Spanned<RawShape>>,
    pub(super) capture: Option<Spanned<RawCapture>>,
    pub(super) offset: Option<Spanned<Ratio>>,
    pub(super) noise: Option<Spanned<RawNoise>>,
    pub(super) ring_down: Option<Spanned<RawRingDown>>,
    pub(super) highest_order: Option<Spanned<u32>>,
    #[serde(default)]
    pub(super) at: Vec<Spanned<RawCurrentAt>>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct RawCurrentAt {
    pub(super) step: Spanned<u32>,
    pub(super) shape: Option<Spanned<RawShape>>,
    pub(super) capture: Option<Spanned<RawCapture>>,
    pub(super) offset: Option<Spanned<Ratio>>,
    pub(super) noise: Option<Spanned<RawNoise>>,
    pub(super) ring_down: Option<Spanned<RawRingDown>>,
    pub(super) highest_order: Option<Spanned<u32>>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) enum RawShape {
    Sine,
    Triangle,
    Square,
    #[serde(rename = "block-120")]
    Block120,
    HalfWave,
    Harmonics {
        list: Vec<RawHarmonic>,
    },
    ClippedSine {
        level: Spanned<Ratio>,
        sharpness: Spanned<f64>,
    },
    PhaseCut {
        delay: Spanned<Radians>,
    },
    Pulse {
        duty: Spanned<Ratio>,
    },
    Trapezoid {
        flat: Spanned<Ratio>,
    },
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct RawHarmonic {
    pub(super) order: Spanned<u32>,
    pub(super) ratio: Spanned<Ratio>,
    pub(super) phase: Spanned<Radians>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct RawNoise {
    pub(super) ratio: Spanned<Ratio>,
    pub(super) seed: u64,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct RawRingDown {
    pub(super) ratio: Spanned<Ratio>,
    pub(super) order: Spanned<f64>,
    pub(super) decay: Spanned<Radians>,
    pub(super) start: Spanned<Radians>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct RawCapture {
    pub(super) file: Spanned<String>,
    pub(super) column: Option<ColumnWord>,
    pub(super) unit: Option<String>,
    pub(super) time_column: Option<ColumnWord>,
    pub(super) sample_rate: Option<Spanned<Hertz>>,
    pub(super) clamp: Option<Spanned<VoltsPerAmpere>>,
    pub(super) separator: Option<RawSeparator>,
    pub(super) decimal: Option<RawDecimal>,
    pub(super) time_unit: Option<String>,
    pub(super) full_scale: Option<FullScaleWord>,
    pub(super) side: Option<RawSide>,
    pub(super) section: Option<Spanned<usize>>,
    pub(super) from: Option<Spanned<Seconds>>,
    pub(super) to: Option<Spanned<Seconds>>,
}

/// What stands between two cells of a text.
#[derive(Clone, Copy, Debug, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(super) enum RawSeparator {
    Tab,
    Semicolon,
    Comma,
    Blanks,
    None,
}

/// The decimal mark of a text.
#[derive(Clone, Copy, Debug, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(super) enum RawDecimal {
    Point,
    Comma,
}

/// The side of the instrument transformers a current is wanted on.
#[derive(Clone, Copy, Debug, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(super) enum RawSide {
    Primary,
    Secondary,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct RawMeter {
    pub(super) name: Spanned<String>,
    pub(super) detector: Option<Spanned<String>>,
    pub(super) archetype: Option<Spanned<String>>,
    pub(super) sheet: Option<Spanned<RawSheet>>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct RawLamps {
    pub(super) light_exponent: Option<Spanned<f64>>,
    pub(super) life_exponent: Option<Spanned<f64>>,
    pub(super) current_exponent: Option<Spanned<f64>>,
    pub(super) rated_current: Option<Spanned<Amperes>>,
    pub(super) source: Option<Spanned<String>>,
}

/// The fields that the default current and a step's own current share. (Flattening would lose the
/// places of the values.)
pub(super) struct RawOrigin<'a> {
    pub(super) shape: Option<&'a Spanned<RawShape>>,
    pub(super) capture: Option<&'a Spanned<RawCapture>>,
    pub(super) offset: Option<&'a Spanned<Ratio>>,
    pub(super) noise: Option<&'a Spanned<RawNoise>>,
    pub(super) ring_down: Option<&'a Spanned<RawRingDown>>,
    pub(super) highest_order: Option<&'a Spanned<u32>>,
}

macro_rules! shared_fields {
    ($($raw:ty),*) => {$(
        impl $raw {
            pub(super) fn origin(&self) -> RawOrigin<'_> {
                RawOrigin {
                    shape: self.shape.as_ref(),
                    capture: self.capture.as_ref(),
                    offset: self.offset.as_ref(),
                    noise: self.noise.as_ref(),
                    ring_down: self.ring_down.as_ref(),
                    highest_order: self.highest_order.as_ref(),
                }
            }
        }
    )*};
}

shared_fields!(RawCurrent, RawCurrentAt);

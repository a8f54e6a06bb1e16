//! Quantities as they stand in the file, turned into SI base units while it is read.

use serde::de::{Deserialize, Deserializer, Error, Visitor};

use crate::capture::FullScale;
use crate::error::ErrorKind;
use crate::units::{self, Dimension};

macro_rules! quantity {
    ($($name:ident: $dimension:expr, $unit:literal;)*) => {$(
        #[doc = concat!("A quantity in the file; the value in ", $unit, ".")]
        #[derive(Clone, Copy, Debug)]
        pub(super) struct $name(pub(super) f64);

        impl<'de> Deserialize<'de> for $name {
            fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
                deserializer.deserialize_any(QuantityVisitor($dimension)).map(Self)
            }
        }
    )*};
}

quantity! {
    Amperes: Dimension::Current, "A";
    Hertz: Dimension::Frequency, "Hz";
    Volts: Dimension::Voltage, "V";
    Watts: Dimension::Power, "W";
    VoltAmperes: Dimension::ApparentPower, "VA";
    Ohms: Dimension::Impedance, "Ω";
    Radians: Dimension::Angle, "rad";
    Ratio: Dimension::Ratio, "1";
    VoltsPerAmpere: Dimension::ClampFactor, "V/A";
    Seconds: Dimension::Time, "s";
    Metres: Dimension::Length, "m";
    DegreesCelsius: Dimension::Temperature, "°C";
    OhmsPerMetre: Dimension::ResistancePerLength, "Ω/m";
    HenriesPerMetre: Dimension::InductancePerLength, "H/m";
    PerKelvin: Dimension::PerKelvin, "1/K";
    Counts: Dimension::Counts, "1";
}

/// The name or the number of a column, with or without quotes around a number.
#[derive(Clone, Debug)]
pub(super) struct ColumnWord(pub(super) String);

impl<'de> Deserialize<'de> for ColumnWord {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(ColumnVisitor).map(Self)
    }
}

struct ColumnVisitor;

impl Visitor<'_> for ColumnVisitor {
    type Value = String;

    fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("the name or the number of a column")
    }

    fn visit_str<E: Error>(self, text: &str) -> Result<String, E> {
        Ok(text.to_owned())
    }

    fn visit_i64<E: Error>(self, number: i64) -> Result<String, E> {
        Ok(number.to_string())
    }

    fn visit_u64<E: Error>(self, number: u64) -> Result<String, E> {
        Ok(number.to_string())
    }
}

/// What full scale means: a current, or a voltage behind a clamp.
#[derive(Clone, Copy, Debug)]
pub(super) struct FullScaleWord(pub(super) FullScale);

impl<'de> Deserialize<'de> for FullScaleWord {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_str(FullScaleVisitor).map(Self)
    }
}

struct FullScaleVisitor;

impl Visitor<'_> for FullScaleVisitor {
    type Value = FullScale;

    fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("amperes or volts such as \"20 A\"")
    }

    fn visit_str<E: Error>(self, text: &str) -> Result<FullScale, E> {
        let current = units::parse(text, Dimension::Current).map(FullScale::CurrentA);
        current
            .or_else(|_| units::parse(text, Dimension::Voltage).map(FullScale::VoltageV))
            .map_err(|_| {
                E::custom(format!(
                    "invalid value: \"{text}\", expected amperes or volts such as \"20 A\""
                ))
            })
    }
}

struct QuantityVisitor(Dimension);

impl Visitor<'_> for QuantityVisitor {
    type Value = f64;

    fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "a quantity such as {}", self.0.example())
    }

    fn visit_str<E: Error>(self, text: &str) -> Result<f64, E> {
        units::parse(text, self.0).map_err(|error| {
            let found = match error.kind() {
                ErrorKind::Malformed { found, .. } => found.clone(),
                _ => format!("\"{text}\""),
            };
            let hint = error.hint().map(|hint| format!("; {hint}")).unwrap_or_default();
            E::custom(format!(
                "invalid value: {found}, expected a quantity such as {}{hint}",
                self.0.example()
            ))
        })
    }

    fn visit_f64<E: Error>(self, value: f64) -> Result<f64, E> {
        if self.0 == Dimension::Ratio && value.is_finite() {
            return Ok(value);
        }
        Err(E::custom(format!(
            "invalid value: the bare number {value}, expected a quantity with its unit such as {}",
            self.0.example()
        )))
    }

    fn visit_i64<E: Error>(self, value: i64) -> Result<f64, E> {
        self.visit_f64(value as f64)
    }

    fn visit_u64<E: Error>(self, value: u64) -> Result<f64, E> {
        self.visit_f64(value as f64)
    }
}

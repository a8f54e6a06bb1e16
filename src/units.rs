//! Quantities with units, at the edge of the program only.
//!
//! Knows: how a person writes "6.6 A", "30 kW", "90 deg" or "6,6 A" and what that is in SI base
//! units. Refuses to know: everything else; inside the library a plain `f64` carries its unit in
//! its name.

use crate::error::{Error, Result};

/// Kind of quantity a field or option holds; the parser accepts only units of that kind.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Dimension {
    /// Electric current, amperes.
    Current,
    /// Voltage, volts.
    Voltage,
    /// Frequency, hertz.
    Frequency,
    /// Time, seconds.
    Time,
    /// Plane angle, radians.
    Angle,
    /// Active power, watts.
    Power,
    /// Apparent power, volt-amperes.
    ApparentPower,
    /// Length, metres.
    Length,
    /// Temperature, degrees Celsius.
    Temperature,
    /// Resistance per length, ohms per metre.
    ResistancePerLength,
    /// Inductance per length, henries per metre.
    InductancePerLength,
    /// Resistance or reactance, ohms.
    Impedance,
    /// A clamp's output: volts per ampere.
    ClampFactor,
    /// A ratio; percent and per mille are accepted.
    Ratio,
    /// A relative change for each kelvin.
    PerKelvin,
    /// Steps of the last digit of a display.
    Counts,
}

/// Unit names and the factor to the SI base unit; the first is the one shown in hints.
type UnitTable = &'static [(&'static str, f64)];

/// The international foot, exactly.
const M_PER_FT: f64 = 0.3048;
const RAD_PER_DEG: f64 = std::f64::consts::PI / 180.0;

impl Dimension {
    fn table(self) -> UnitTable {
        match self {
            Self::Current => &[("A", 1.0), ("mA", 1e-3), ("uA", 1e-6), ("µA", 1e-6), ("kA", 1e3)],
            Self::Voltage => &[("V", 1.0), ("mV", 1e-3), ("uV", 1e-6), ("µV", 1e-6), ("kV", 1e3)],
            Self::Frequency => &[("Hz", 1.0), ("kHz", 1e3), ("MHz", 1e6)],
            Self::Time => {
                &[("s", 1.0), ("ms", 1e-3), ("us", 1e-6), ("µs", 1e-6), ("ns", 1e-9), ("min", 60.0)]
            }
            Self::Angle => &[("deg", RAD_PER_DEG), ("°", RAD_PER_DEG), ("rad", 1.0)],
            Self::Power => &[("W", 1.0), ("kW", 1e3), ("MW", 1e6)],
            Self::ApparentPower => &[("VA", 1.0), ("kVA", 1e3), ("MVA", 1e6)],
            Self::Length => &[("m", 1.0), ("km", 1e3), ("ft", M_PER_FT), ("kft", 1e3 * M_PER_FT)],
            Self::Temperature => &[("degC", 1.0), ("°C", 1.0)],
            Self::ResistancePerLength => &[
                ("ohm/km", 1e-3),
                ("Ω/km", 1e-3),
                ("ohm/m", 1.0),
                ("Ω/m", 1.0),
                ("ohm/kft", 1e-3 / M_PER_FT),
                ("Ω/kft", 1e-3 / M_PER_FT),
            ],
            Self::InductancePerLength => &[
                ("mH/km", 1e-6),
                ("uH/m", 1e-6),
                ("µH/m", 1e-6),
                ("H/m", 1.0),
                ("mH/kft", 1e-6 / M_PER_FT),
            ],
            Self::Impedance => &[
                ("ohm", 1.0),
                ("Ω", 1.0),
                ("mohm", 1e-3),
                ("mΩ", 1e-3),
                ("kohm", 1e3),
                ("kΩ", 1e3),
            ],
            Self::ClampFactor => &[("V/A", 1.0), ("mV/A", 1e-3), ("uV/A", 1e-6), ("V/kA", 1e-3)],
            Self::Ratio => &[("", 1.0), ("%", 1e-2), ("‰", 1e-3)],
            Self::PerKelvin => &[("%/K", 1e-2), ("ppm/K", 1e-6), ("1/K", 1.0)],
            Self::Counts => &[("counts", 1.0), ("count", 1.0)],
        }
    }

    /// An example of how to write such a quantity.
    #[must_use]
    pub fn example(self) -> &'static str {
        match self {
            Self::Current => "\"6.6 A\"",
            Self::Voltage => "\"1748 V\"",
            Self::Frequency => "\"60 Hz\"",
            Self::Time => "\"0.5 ms\"",
            Self::Angle => "\"90 deg\"",
            Self::Power => "\"10 kW\"",
            Self::ApparentPower => "\"100 VA\"",
            Self::Length => "\"2.5 km\"",
            Self::Temperature => "\"25 degC\"",
            Self::ResistancePerLength => "\"3.08 ohm/km\"",
            Self::InductancePerLength => "\"1.2 mH/km\"",
            Self::Impedance => "\"230 ohm\"",
            Self::ClampFactor => "\"100 mV/A\"",
            Self::Ratio => "0.25 or \"25 %\"",
            Self::PerKelvin => "\"0.1 %/K\"",
            Self::Counts => "\"5 counts\"",
        }
    }

    /// The factor from the named unit to the SI base unit, or `None` for a unit of another kind.
    #[must_use]
    pub fn factor(self, unit: &str) -> Option<f64> {
        self.table().iter().find(|(name, _)| *name == unit).map(|(_, factor)| *factor)
    }
}

/// The value of a quantity in SI base units (angles in radians, ratios as plain numbers).
///
/// The unit is required except for a ratio. A single comma and no point reads as a decimal comma.
///
/// # Errors
/// `Malformed` when there is no finite number, no unit, or a unit of another kind.
///
/// # Example
/// ```
/// use loopcrest::units::{Dimension, parse};
/// assert_eq!(parse("6,6 A", Dimension::Current).unwrap(), 6.6);
/// assert_eq!(parse("250mA", Dimension::Current).unwrap(), 0.25);
/// assert!(parse("6.6 V", Dimension::Current).is_err());
/// ```
pub fn parse(text: &str, dimension: Dimension) -> Result<f64> {
    let trimmed = text.trim();
    let bad = |found: String| {
        Error::malformed(format!("a quantity such as {}", dimension.example()), found)
    };
    let split = unit_start(trimmed);
    let (number, unit) = (trimmed[..split].trim(), trimmed[split..].trim());
    let Some(value) = parse_number(number) else {
        return Err(bad(format!("\"{trimmed}\" without a number in front")));
    };
    let Some(factor) = dimension.factor(unit) else {
        let found = if unit.is_empty() {
            format!("\"{trimmed}\" without a unit")
        } else {
            format!("the unit \"{unit}\" in \"{trimmed}\"")
        };
        let known: Vec<_> = dimension
            .table()
            .iter()
            .map(|(name, _)| *name)
            .filter(|name| !name.is_empty())
            .collect();
        return Err(bad(found).with_hint(format!("units understood here: {}", known.join(", "))));
    };
    let in_base_units = value * factor;
    if !in_base_units.is_finite() {
        return Err(bad(format!("\"{trimmed}\", which is beyond every number")));
    }
    Ok(in_base_units)
}

/// A quantity whose unit may be left out: a bare number is in `bare_unit`.
///
/// # Errors
/// As [`parse`].
pub fn parse_or_bare(text: &str, dimension: Dimension, bare_unit: &str) -> Result<f64> {
    match parse_number(text) {
        Some(_) => parse(&format!("{text} {bare_unit}"), dimension),
        None => parse(text, dimension),
    }
}

/// A finite number with decimal point or (single, without a point) decimal comma.
#[must_use]
pub fn parse_number(text: &str) -> Option<f64> {
    let text = text.trim();
    let commas = text.matches(',').count();
    let value = if commas == 1 && !text.contains('.') {
        text.replace(',', ".").parse::<f64>()
    } else {
        text.parse::<f64>()
    };
    value.ok().filter(|value| value.is_finite())
}

/// Byte position where the number ends. An exponent belongs to the number only when digits follow,
/// so that a unit beginning with "e" would not be eaten.
fn unit_start(text: &str) -> usize {
    let bytes = text.as_bytes();
    let mut at = 0;
    while at < bytes.len() {
        let exponent = matches!(bytes[at], b'e' | b'E')
            && matches!(bytes.get(at + 1), Some(b'0'..=b'9' | b'+' | b'-'));
        if !(bytes[at].is_ascii_digit()
            || matches!(bytes[at], b'.' | b',' | b'+' | b'-')
            || exponent)
        {
            break;
        }
        at += 1;
    }
    at
}
/// Two numbers of one display as texts with the same decimals: as many as the longer of the two has,
/// two at least and six at most.
///
/// # Example
/// ```
/// assert_eq!(loopcrest::units::same_decimals(5.0513, 5.348), ("5.0513".into(), "5.3480".into()));
/// ```
#[must_use]
pub fn same_decimals(low: f64, high: f64) -> (String, String) {
    let exact = |value: f64, decimals: usize| {
        let text = |decimals: usize| format!("{value:.decimals$}").parse::<f64>().ok();
        text(decimals) == text(6)
    };
    let decimals = (2..6).find(|&d| exact(low, d) && exact(high, d)).unwrap_or(6);
    (format!("{low:.decimals$}"), format!("{high:.decimals$}"))
}

/// The ends of a span of a display as texts with the same decimals; where it has more than five, as with
/// a meter whose display is not known, to the thousandth, rounded inwards.
///
/// # Example
/// ```
/// use loopcrest::units::span_decimals;
/// assert_eq!(span_decimals(6.43, 6.665), ("6.430".into(), "6.665".into()));
/// assert_eq!(span_decimals(6.369166, 6.667721), ("6.370".into(), "6.667".into()));
/// ```
#[must_use]
pub fn span_decimals(low: f64, high: f64) -> (String, String) {
    let (low_text, high_text) = same_decimals(low, high);
    let has_six = low_text.len() - low_text.find('.').unwrap_or_default() > 6;
    let (inner_low, inner_high) = ((low * 1e3).ceil() / 1e3, (high * 1e3).floor() / 1e3);
    if has_six && inner_low <= inner_high {
        return (format!("{inner_low:.3}"), format!("{inner_high:.3}"));
    }
    (low_text, high_text)
}

//! Quantities on the command line: "6.6A", "60 Hz", "90deg"; a bare number is in the base unit, an
//! angle in degrees.

use crate::description::{HARMONIC_RATIO, percent_forgotten};
use crate::error::{Error, Result};
use crate::situation::Output;
use crate::units::{self, Dimension};
use crate::waveform::Harmonic;

pub(super) fn current(text: &str) -> std::result::Result<f64, String> {
    quantity(text, Dimension::Current, "A")
}

pub(super) fn voltage(text: &str) -> std::result::Result<f64, String> {
    quantity(text, Dimension::Voltage, "V")
}

pub(super) fn frequency(text: &str) -> std::result::Result<f64, String> {
    quantity(text, Dimension::Frequency, "Hz")
}

pub(super) fn angle(text: &str) -> std::result::Result<f64, String> {
    quantity(text, Dimension::Angle, "deg")
}

pub(super) fn ratio(text: &str) -> std::result::Result<f64, String> {
    quantity(text, Dimension::Ratio, "")
}

/// A load as a share of the rated one, or `shorted` or `full`.
pub(super) fn load(text: &str) -> std::result::Result<f64, String> {
    match Output::parse(text) {
        Ok(Output::Load(load_ratio)) => Ok(load_ratio),
        _ => ratio(text),
    }
}

pub(super) fn time(text: &str) -> std::result::Result<f64, String> {
    quantity(text, Dimension::Time, "s")
}

pub(super) fn temperature(text: &str) -> std::result::Result<f64, String> {
    quantity(text, Dimension::Temperature, "degC")
}

pub(super) fn clamp_factor(text: &str) -> std::result::Result<f64, String> {
    quantity(text, Dimension::ClampFactor, "V/A")
}

pub(super) fn sharpness(text: &str) -> std::result::Result<f64, String> {
    if text == "hard" { Ok(f64::INFINITY) } else { ratio(text) }
}

fn quantity(text: &str, dimension: Dimension, bare_unit: &str) -> std::result::Result<f64, String> {
    parse(text, dimension, bare_unit).map_err(with_hint)
}

/// An error as the argument parser shows it, in one line.
fn with_hint(error: Error) -> String {
    match error.hint() {
        Some(hint) => format!("{error} ({hint})"),
        None => error.to_string(),
    }
}

pub(super) fn parse(text: &str, dimension: Dimension, bare_unit: &str) -> Result<f64> {
    units::parse_or_bare(text, dimension, bare_unit)
}

/// A harmonic as `ORDER:RATIO:PHASE`.
#[derive(Clone, Copy, Debug)]
pub(super) struct HarmonicArg(pub(super) Harmonic);

impl std::str::FromStr for HarmonicArg {
    type Err = String;

    fn from_str(text: &str) -> std::result::Result<Self, String> {
        harmonic(text).map(Self).map_err(with_hint)
    }
}

fn harmonic(text: &str) -> Result<Harmonic> {
    let parts: Vec<&str> = text.split(':').collect();
    let [order, ratio, phase] = parts.as_slice() else {
        return Err(Error::malformed("a harmonic such as 3:20%:180deg", format!("\"{text}\"")));
    };
    let order = order
        .trim()
        .parse()
        .map_err(|_| Error::malformed("a whole order such as 3", format!("\"{order}\"")))?;
    let value = parse(ratio, Dimension::Ratio, "")?;
    let ratio = HARMONIC_RATIO.check(value).map_err(|error| percent_forgotten(error, value));
    Ok(Harmonic { order, ratio: ratio?, phase_rad: parse(phase, Dimension::Angle, "deg")? })
}

/// A value that belongs to a step, written `STEP:VALUE`.
#[derive(Clone, Copy, Debug)]
pub(super) struct OfStep {
    pub(super) step: u32,
    pub(super) value: f64,
}

impl OfStep {
    pub(super) fn current(text: &str) -> std::result::Result<Self, String> {
        Self::of(text, "5:6.72A", current)
    }

    pub(super) fn hours(text: &str) -> std::result::Result<Self, String> {
        Self::of(text, "5:400", hours)
    }

    fn of(
        text: &str,
        example: &str,
        value: impl Fn(&str) -> std::result::Result<f64, String>,
    ) -> std::result::Result<Self, String> {
        let malformed =
            || format!("expected a step and its value such as {example}, found \"{text}\"");
        let (step, rest) = text.split_once(':').ok_or_else(malformed)?;
        let step = step.trim().parse().map_err(|_| malformed())?;
        Ok(Self { step, value: value(rest.trim())? })
    }
}

/// Hours, with or without "h".
pub(super) fn hours(text: &str) -> std::result::Result<f64, String> {
    let number = text.trim().strip_suffix('h').unwrap_or(text).trim();
    units::parse_number(number)
        .ok_or_else(|| format!("expected hours such as 400, found \"{text}\""))
}

/// A span of the calendar, such as "6 months" or "1 year".
pub(super) fn interval(text: &str) -> std::result::Result<jiff::Span, String> {
    let malformed =
        |_| format!("expected a time such as \"6 months\" or \"1 year\", found \"{text}\"");
    let span: jiff::Span = text.trim().parse().map_err(malformed)?;
    if span.is_positive() { Ok(span) } else { Err(format!("\"{text}\" does not lead forward")) }
}

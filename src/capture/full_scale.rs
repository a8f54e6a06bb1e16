use crate::error::{Error, Result};
use crate::units::{Dimension, parse_or_bare};

/// What full scale of a converter means, for files that hold only parts of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum FullScale {
    /// Amperes.
    CurrentA(f64),
    /// Volts; with a clamp's factor they become amperes.
    VoltageV(f64),
}

impl FullScale {
    /// Reads amperes or volts, such as `20 A`; a bare number is in amperes.
    ///
    /// # Errors
    /// `Malformed` for anything else.
    pub fn parse(text: &str) -> Result<Self> {
        let current = parse_or_bare(text, Dimension::Current, "A").map(Self::CurrentA);
        let voltage = |_| parse_or_bare(text, Dimension::Voltage, "V").map(Self::VoltageV);
        let expected = "amperes or volts such as 20A";
        current.or_else(voltage).map_err(|_| Error::malformed(expected, format!("\"{text}\"")))
    }
}

use super::{Error, ErrorKind, Result};

/// The allowed range of one quantity, declared once and used for the check, the message and the
/// help text.
///
/// Both ends are allowed values. A value that is not a number is never inside.
///
/// # Example
/// ```
/// use loopcrest::error::Bounds;
/// const DUTY: Bounds = Bounds::new("duty", "", 0.001, 1.0);
/// assert!(DUTY.check(0.25).is_ok());
/// assert_eq!(DUTY.to_string(), "0.001 to 1");
/// assert!(DUTY.check(f64::NAN).is_err());
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bounds {
    /// What is bounded, in words a reader of an error message knows.
    pub quantity: &'static str,
    /// Unit of both ends; empty for a dimensionless quantity.
    pub unit: &'static str,
    /// Smallest allowed value.
    pub min: f64,
    /// Largest allowed value.
    pub max: f64,
}

impl Bounds {
    /// Declares a range; both ends are allowed.
    #[must_use]
    pub const fn new(quantity: &'static str, unit: &'static str, min: f64, max: f64) -> Self {
        Self { quantity, unit, min, max }
    }

    /// Whether the value lies in the range.
    #[must_use]
    pub fn contains(&self, value: f64) -> bool {
        value >= self.min && value <= self.max
    }

    /// The value itself, or an error that names quantity, value, unit and range.
    ///
    /// # Errors
    /// `OutOfRange` when the value is outside or not a number.
    pub fn check(&self, value: f64) -> Result<f64> {
        if self.contains(value) {
            return Ok(value);
        }
        Err(Error::new(ErrorKind::OutOfRange {
            quantity: self.quantity.to_owned(),
            value,
            unit: self.unit.to_owned(),
            allowed: self.to_string(),
        }))
    }
}

impl std::fmt::Display for Bounds {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let (min, unit) = super::kind::for_people(self.min, self.unit);
        let (max, _) = super::kind::for_people(self.max, self.unit);
        let unit = if unit.is_empty() { String::new() } else { format!(" {unit}") };
        match (self.min.is_finite(), self.max.is_finite()) {
            (true, true) => write!(f, "{min} to {max}{unit}"),
            (true, false) => write!(f, "{min}{unit} or more"),
            (false, true) => write!(f, "{max}{unit} or less"),
            (false, false) => write!(f, "any finite number{unit}"),
        }
    }
}

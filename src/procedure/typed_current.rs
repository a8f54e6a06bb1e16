use crate::error::{Bounds, Error, Result};
use crate::units::{self, Dimension};

/// A number from a meter's display.
pub const SHOWN_A: Bounds = Bounds::new("reading", "A", 0.001, 10_000.0);

/// The current someone typed from a display, in amperes: "6.58", "6,58", "6.58 A" or "6580 mA".
///
/// # Errors
/// `Malformed` for a blank, for text, for a display that shows overload; `OutOfRange` for zero, a
/// negative number or one no display here shows.
pub fn typed_current(text: &str) -> Result<f64> {
    let text = text.trim();
    let asked = "the number on the display, such as 6.58";
    if text.is_empty() {
        return Err(Error::malformed(asked, "nothing"));
    }
    if ["ol", "o.l", "o.l.", "over", "overload", "1---"].contains(&text.to_lowercase().as_str()) {
        return Err(Error::malformed(asked, format!("\"{text}\""))
            .with_hint("the meter is overloaded: take a higher range and read again"));
    }
    let value_a = match units::parse_number(text) {
        Some(value_a) => value_a,
        None => units::parse(text, Dimension::Current)
            .map_err(|_| Error::malformed(asked, format!("\"{text}\"")))?,
    };
    SHOWN_A.check(value_a).map_err(|error| {
        if value_a > 0.0 {
            error
        } else {
            error.with_hint("is the regulator on, the clamp closed, the meter on AC amperes?")
        }
    })
}

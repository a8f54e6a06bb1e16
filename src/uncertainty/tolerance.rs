use crate::error::Result;

use super::Estimate;

/// The numerical tolerance δ that a number of significant digits of a standard uncertainty allows.
///
/// # Formula
/// u = c · 10ˡ with c a whole number of that many digits; δ = ½ · 10ˡ. u = 0.35, two digits: 0.005.
///
/// # Source
/// JCGM 101:2008, 7.9.2.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tolerance {
    /// δ, in the unit of the uncertainty; 0 for an uncertainty of 0.
    pub half_width: f64,
}

impl Tolerance {
    /// The tolerance of a standard uncertainty to some digits.
    ///
    /// # Errors
    /// `OutOfRange` for a negative uncertainty or too few or many digits.
    pub fn of(standard_uncertainty: f64, significant_digits: u32) -> Result<Self> {
        Estimate::STANDARD_UNCERTAINTY.check(standard_uncertainty)?;
        super::MonteCarlo::DIGITS.check(f64::from(significant_digits))?;
        if standard_uncertainty <= 0.0 {
            return Ok(Self { half_width: 0.0 });
        }
        let digits = significant_digits as usize;
        // Through text, so that 0.0995 to two digits is 0.10 and has its last digit at 0.01.
        let text = format!("{standard_uncertainty:.*e}", digits - 1);
        let exponent: i32 = text
            .split_once('e')
            .and_then(|(_, exponent)| exponent.parse().ok())
            .expect("scientific notation has an exponent");
        Ok(Self { half_width: 0.5 * 10.0_f64.powi(exponent + 1 - significant_digits as i32) })
    }
}

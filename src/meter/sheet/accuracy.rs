use crate::error::{Error, Result};

use super::{AccuracyLine, Range};

/// The accuracy table of a meter: limits of error on a sine.
#[derive(Clone, Debug, PartialEq)]
pub struct Accuracy {
    /// The lines; the first that is meant for a range and a frequency counts.
    pub lines: Vec<AccuracyLine>,
}

impl Accuracy {
    /// The line that counts for a range and a frequency.
    #[must_use]
    pub fn line(&self, range: &Range, frequency_hz: f64) -> Option<&AccuracyLine> {
        self.lines.iter().find(|line| line.is_for(range, frequency_hz))
    }

    /// The limit of error in amperes; `None` where the sheet says nothing.
    ///
    /// # Formula
    /// As [`AccuracyLine::limit_a`].
    #[must_use]
    pub fn limit_a(&self, range: &Range, reading_a: f64, frequency_hz: f64) -> Option<f64> {
        self.line(range, frequency_hz).map(|line| line.limit_a(range, reading_a))
    }

    /// # Errors
    /// As the lines; `Inconsistent` without any.
    pub(super) fn check(&self) -> Result<()> {
        if self.lines.is_empty() {
            return Err(Error::inconsistent("the sheet states no accuracy"));
        }
        self.lines.iter().try_for_each(AccuracyLine::check)
    }
}

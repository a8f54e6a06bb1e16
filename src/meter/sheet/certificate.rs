use jiff::civil::Date;

use crate::error::{Bounds, Error, Result};

/// What a calibration certificate says of a meter.
#[derive(Clone, Debug, PartialEq)]
pub struct Certificate {
    /// Its number.
    pub number: String,
    /// Day of the calibration.
    pub date: Date,
    /// Last day on which it counts; `None` when it sets none.
    pub due: Option<Date>,
    /// Expanded uncertainty of the calibration, as a ratio of the reading.
    pub expanded_ratio: f64,
    /// The coverage factor of that uncertainty.
    pub coverage_factor: f64,
}

impl Certificate {
    /// Expanded uncertainty of a calibration.
    pub const EXPANDED_RATIO: Bounds =
        Bounds::new("expanded uncertainty of the certificate", "", 0.0, 0.5);
    /// Coverage factor of a certificate.
    pub const COVERAGE_FACTOR: Bounds =
        Bounds::new("coverage factor of the certificate", "", 1.0, 15.0);

    /// Standard uncertainty, as a ratio of the reading.
    #[must_use]
    pub fn standard_ratio(&self) -> f64 {
        self.expanded_ratio / self.coverage_factor
    }

    /// Whether it counts no more on a day.
    #[must_use]
    pub fn is_overdue(&self, today: Date) -> bool {
        self.due.is_some_and(|due| today > due)
    }

    /// A day written as year-month-day.
    ///
    /// # Errors
    /// `Malformed` for anything else.
    pub fn day(text: &str) -> Result<Date> {
        text.trim().parse().map_err(|_| {
            Error::malformed("a day written as 2026-11-25", format!("\"{}\"", text.trim()))
        })
    }

    /// # Errors
    /// `OutOfRange` for a value outside its bounds; `Inconsistent` when it is due before it was
    /// written.
    pub(super) fn check(&self) -> Result<()> {
        Self::EXPANDED_RATIO.check(self.expanded_ratio)?;
        Self::COVERAGE_FACTOR.check(self.coverage_factor)?;
        if let Some(due) = self.due
            && due < self.date
        {
            return Err(Error::inconsistent(format!(
                "certificate {} is due on {due}, before its date {}",
                self.number, self.date
            )));
        }
        Ok(())
    }
}

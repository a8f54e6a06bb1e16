use jiff::civil::Date;

use crate::error::{Bounds, Result};

use super::Scatter;

/// What a verdict is asked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Terms {
    /// Probability with which the true current must lie in its band.
    pub conformance_probability: f64,
    /// Today, where certificates are to be held against it.
    pub today: Option<Date>,
    /// Temperature of the meter, where it is known.
    pub ambient_degc: Option<f64>,
    /// Scatter of repeated readings; `None` when nobody has repeated any.
    pub scatter: Option<Scatter>,
}

impl Default for Terms {
    /// 95 %, nothing else known.
    fn default() -> Self {
        Self { conformance_probability: 0.95, today: None, ambient_degc: None, scatter: None }
    }
}

impl Terms {
    /// Probability of conformance. Above one half: below, a set-band would reach beyond the band.
    pub const CONFORMANCE_PROBABILITY: Bounds =
        Bounds::new("probability of conformance", "", 0.55, 0.999_999);

    /// Refuses terms no verdict can meet.
    ///
    /// # Errors
    /// `OutOfRange` for a probability out of bounds.
    pub fn check(&self) -> Result<()> {
        Self::CONFORMANCE_PROBABILITY.check(self.conformance_probability).map(|_| ())
    }
}

use crate::error::{Error, Result};
use crate::uncertainty::Estimate;

/// How much repeated readings of one steady current scatter, as a ratio of the reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scatter {
    /// Standard uncertainty of the mean of the readings.
    pub standard_ratio: f64,
    /// Readings less one.
    pub degrees_of_freedom: f64,
}

impl Scatter {
    /// From readings of one steady current.
    ///
    /// # Errors
    /// As [`Estimate::from_readings`]; `Inconsistent` when their mean is not positive.
    pub fn from_readings(shown_a: &[f64]) -> Result<Self> {
        let estimate = Estimate::from_readings(shown_a)?;
        if estimate.value <= 0.0 {
            return Err(Error::inconsistent("readings whose mean is not positive have no scatter"));
        }
        Ok(Self {
            standard_ratio: estimate.standard_uncertainty / estimate.value,
            degrees_of_freedom: estimate.degrees_of_freedom,
        })
    }
}

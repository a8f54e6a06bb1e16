use crate::error::{Bounds, Error, Result};

/// What a meter's accuracy loses outside the span of temperatures it is stated for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Temperature {
    /// Lowest temperature at which the accuracy holds as stated.
    pub low_degc: f64,
    /// Highest temperature at which the accuracy holds as stated.
    pub high_degc: f64,
    /// Error added for each kelvin outside, either sign, as a ratio of the reading.
    pub coefficient_per_k: f64,
}

impl Temperature {
    /// Temperatures a meter may be used at.
    pub const DEGC: Bounds = Bounds::new("temperature", "degC", -60.0, 100.0);
    /// Temperature coefficients.
    pub const COEFFICIENT_PER_K: Bounds = Bounds::new("temperature coefficient", "1/K", 0.0, 0.05);

    /// Largest error added at a temperature, as a ratio of the reading.
    #[must_use]
    pub fn added_ratio(&self, ambient_degc: f64) -> f64 {
        let outside_k = (self.low_degc - ambient_degc).max(ambient_degc - self.high_degc).max(0.0);
        self.coefficient_per_k * outside_k
    }

    /// # Errors
    /// `OutOfRange` for a value outside its bounds; `Inconsistent` for a span the wrong way round.
    pub(super) fn check(&self) -> Result<()> {
        Self::COEFFICIENT_PER_K.check(self.coefficient_per_k)?;
        if Self::DEGC.check(self.low_degc)? > Self::DEGC.check(self.high_degc)? {
            return Err(Error::inconsistent("the span of temperatures is the wrong way round"));
        }
        Ok(())
    }
}

use super::{Limits, RatioDefinition};
use crate::error::{Bounds, Error, Result};
use crate::uncertainty::Expanded;

/// A test uncertainty ratio together with what was divided by what.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TestRatio {
    /// The ratio.
    pub ratio: f64,
    /// What it stands for.
    pub definition: RatioDefinition,
}

impl TestRatio {
    const DIVISOR: Bounds = Bounds::new("uncertainty in a ratio", "", f64::MIN_POSITIVE, f64::MAX);

    /// Half of the tolerance over U.
    ///
    /// # Errors
    /// `Inconsistent` for a single limit; `OutOfRange` for an uncertainty of zero.
    pub fn to_expanded(limits: &Limits, expanded: &Expanded) -> Result<Self> {
        let ratio = half_width(limits)? / Self::DIVISOR.check(expanded.half_width)?;
        Ok(Self { ratio, definition: RatioDefinition::ToleranceToExpanded })
    }

    /// The measurement capability index C_m: the whole tolerance over 4 u.
    ///
    /// # Errors
    /// As [`Self::to_expanded`].
    ///
    /// # Source
    /// JCGM 106:2012, 7.6.3.
    pub fn capability_index(limits: &Limits, standard_uncertainty: f64) -> Result<Self> {
        let ratio = half_width(limits)? / (2.0 * Self::DIVISOR.check(standard_uncertainty)?);
        Ok(Self { ratio, definition: RatioDefinition::CapabilityIndex })
    }

    /// Half of the tolerance over the accuracy the meter claims.
    ///
    /// # Errors
    /// As [`Self::to_expanded`].
    pub fn to_accuracy(limits: &Limits, accuracy_half_width: f64) -> Result<Self> {
        let ratio = half_width(limits)? / Self::DIVISOR.check(accuracy_half_width)?;
        Ok(Self { ratio, definition: RatioDefinition::ToleranceToAccuracy })
    }

    /// Scatter of the process over the standard uncertainty of the measurement.
    ///
    /// # Errors
    /// `OutOfRange` for a spread that is not positive.
    pub fn to_process(process_deviation: f64, standard_uncertainty: f64) -> Result<Self> {
        let ratio =
            Self::DIVISOR.check(process_deviation)? / Self::DIVISOR.check(standard_uncertainty)?;
        Ok(Self { ratio, definition: RatioDefinition::ProcessToMeasurement })
    }
}

fn half_width(limits: &Limits) -> Result<f64> {
    limits
        .half_width()
        .ok_or_else(|| Error::inconsistent("a single limit has no tolerance to take a ratio of"))
}

use super::{Limits, RatioDefinition, TestRatio};
use crate::error::{Bounds, Error, Result};
use crate::uncertainty::Expanded;

/// A rule for how far an acceptance limit stays inside the tolerance limit.
///
/// # Formula
/// T is half of the tolerance, U the expanded uncertainty, R = T/U.
///
/// | rule | guard band w |
/// |---|---|
/// | none | 0: simple acceptance |
/// | expanded, r | r U |
/// | root of squares | T (1 − √(1 − 1/R²)) |
/// | inverse ratio | T/R = U |
/// | quarter relief | T (1/R − 0.25), at least 0 |
/// | flat risk | U (1.04 − exp(0.38 ln R − 0.54)) |
///
/// # Validity
/// The last four need both limits. The root of squares needs R ≥ 1. Flat risk holds the false accept
/// below 2 % for any process; from R of about 4.6 on its w is negative and the tolerance stands.
///
/// # Source
/// JCGM 106:2012, 8.3.2, and ILAC-G8:09/2019, 4.2.2 (r U; r = 1 is their usual choice); the last four
/// are known in the calibration trade; flat risk is the fit by M. Dobbert, A guard-band strategy for
/// managing false-accept risk, 2008.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum GuardBand {
    /// Acceptance limit and tolerance limit are one.
    None,
    /// A multiple of the expanded uncertainty.
    Expanded(f64),
    /// The acceptance limit is √(T² − U²) from the middle.
    RootOfSquares,
    /// The acceptance limit is T (1 − 1/R) from the middle.
    InverseRatio,
    /// The acceptance limit is T (1.25 − 1/R) from the middle, at most T.
    QuarterRelief,
    /// About 2 % false accept at most, whatever the process.
    FlatRisk,
    /// A distance, in the unit of the limits.
    Distance(f64),
}

impl GuardBand {
    /// Multiple of U of a guard band.
    pub const MULTIPLE: Bounds = Bounds::new("guard band over U", "", -10.0, 10.0);

    /// The guard band w, in the unit of the limits.
    ///
    /// # Errors
    /// `OutOfRange` for a multiple out of bounds or a distance that is not a number; `Inconsistent` for
    /// a rule that needs both limits, or the root of squares where U is larger than the tolerance.
    pub fn width(&self, tolerance: &Limits, expanded: &Expanded) -> Result<f64> {
        match *self {
            Self::None => return Ok(0.0),
            Self::Expanded(multiple) => {
                return Ok(Self::MULTIPLE.check(multiple)? * expanded.half_width);
            }
            Self::Distance(distance) => {
                return Bounds::new("guard band", "", f64::MIN, f64::MAX).check(distance);
            }
            _ if expanded.half_width <= 0.0 => return Ok(0.0),
            _ => {}
        }
        let ratio = TestRatio::to_expanded(tolerance, expanded)?;
        let half_width = ratio.ratio * expanded.half_width;
        Ok(half_width * (1.0 - self.factor(ratio)?))
    }

    /// The acceptance limits over the tolerance limits, seen from the middle, for the four rules that
    /// follow from the ratio alone.
    ///
    /// # Errors
    /// `Inconsistent` for a ratio of another definition than T/U, for a rule that does not follow from
    /// it, or the root of squares below a ratio of 1; `OutOfRange` for a ratio that is not positive.
    pub fn factor(&self, ratio: TestRatio) -> Result<f64> {
        if ratio.definition != RatioDefinition::ToleranceToExpanded {
            return Err(Error::inconsistent(format!(
                "a guard band follows from {}, not from {}",
                RatioDefinition::ToleranceToExpanded.words(),
                ratio.definition.words()
            )));
        }
        let r = Bounds::new("test uncertainty ratio", "", f64::MIN_POSITIVE, f64::MAX)
            .check(ratio.ratio)?;
        match self {
            Self::RootOfSquares if r < 1.0 => Err(Error::inconsistent(format!(
                "no acceptance limit: the expanded uncertainty is {:.3} of the tolerance",
                1.0 / r
            ))),
            Self::RootOfSquares => Ok((1.0 - 1.0 / (r * r)).sqrt()),
            Self::InverseRatio => Ok(1.0 - 1.0 / r),
            Self::QuarterRelief => Ok((1.25 - 1.0 / r).min(1.0)),
            Self::FlatRisk => Ok((1.0 - Self::flat_risk_multiple(r) / r).min(1.0)),
            Self::None => Ok(1.0),
            Self::Expanded(multiple) => Ok(1.0 - Self::MULTIPLE.check(*multiple)? / r),
            Self::Distance(_) => {
                Err(Error::inconsistent("a distance does not follow from a ratio"))
            }
        }
    }

    /// M of the flat-risk rule: the guard band over U.
    ///
    /// # Formula
    /// M = 1.04 − exp(0.38 ln R − 0.54); R = 2.5 gives 0.21454
    #[must_use]
    pub fn flat_risk_multiple(ratio: f64) -> f64 {
        1.04 - (0.38 * ratio.ln() - 0.54).exp()
    }

    /// Plain words for tables.
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Self::None => "simple acceptance".to_owned(),
            Self::Expanded(multiple) => format!("guard band of {multiple} U"),
            Self::RootOfSquares => "root of the squares".to_owned(),
            Self::InverseRatio => "one less the inverse ratio".to_owned(),
            Self::QuarterRelief => "1.25 less the inverse ratio".to_owned(),
            Self::FlatRisk => "2 % false accept at most".to_owned(),
            Self::Distance(distance) => format!("guard band of {distance}"),
        }
    }
}

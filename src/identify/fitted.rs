use crate::error::Note;
use crate::regulator::ResonantRegulator;

use super::{Estimate, FittedCapture, Told};

/// A regulator fitted to captures.
#[derive(Clone, Debug)]
pub struct Fitted {
    /// The regulator with the fitted values, on its own supply.
    pub regulator: ResonantRegulator,
    /// Every free value, in the order asked for.
    pub estimates: Vec<Estimate>,
    /// Correlation of the estimates, row by row; `None` when a combination is not seen at all.
    pub correlation: Option<Vec<Vec<f64>>>,
    /// Which combinations of values the captures tell.
    pub told: Told,
    /// The captures beside the fit.
    pub captures: Vec<FittedCapture>,
    /// Residuals minus numbers estimated.
    pub freedom: usize,
    /// Sum of the squared residuals over their standard uncertainty, over the freedom: about 1 when
    /// the regulator explains the captures to their noise. `None` when the noise is not known.
    pub reduced_chi_square: Option<f64>,
    /// Probability of that much or more from noise alone.
    pub chance_ratio: Option<f64>,
    /// Factor by which the uncertainties are enlarged because the residuals are larger than the noise.
    pub enlargement_ratio: f64,
    /// The answer in one word.
    pub answer: Answer,
    /// Derivatives the search took.
    pub iterations: usize,
    /// What has to be said beside the result.
    pub notes: Vec<Note>,
    /// Covariance of the free values on the scale of the fit, row-major, enlarged.
    pub(super) covariance: Option<Vec<f64>>,
}

/// Is it this regulator?
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Answer {
    /// It explains the captures to their noise, and every free value is told.
    Explained,
    /// It does not explain the captures, whatever else they leave open: the residuals are larger than
    /// their noise.
    NotExplained,
    /// It may: the captures do not tell every free value.
    NotTold,
    /// Nobody can say: the noise of the captures is not known.
    NoiseUnknown,
}

impl Answer {
    /// A key for programs.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::Explained => "explained",
            Self::NotExplained => "not-explained",
            Self::NotTold => "not-told",
            Self::NoiseUnknown => "noise-unknown",
        }
    }
}

use super::FittedCapture;

/// A capture that was not used, as the fitted regulator predicts it.
///
/// Only the current that was held and the shift in time are taken from it.
#[derive(Clone, Debug)]
pub struct Prediction {
    /// The capture beside its prediction.
    pub capture: FittedCapture,
    /// RMS of the difference to be expected from noise and from the uncertainty of the fitted values
    /// together; `None` when one of them is not known.
    pub expected_rms_a: Option<f64>,
    /// Difference over what was to be expected, as a ratio of RMS values.
    pub surprise_ratio: Option<f64>,
    /// Predicted minus measured crest factor.
    pub crest_factor_error: Option<f64>,
    /// Predicted minus measured relative error of an average-responding meter.
    pub average_error_shift_ratio: Option<f64>,
}

use super::BranchId;

/// What a control takes for the current.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SenseLaw {
    /// The true RMS value.
    TrueRms,
    /// The rectified mean times π/(2√2): right for a sine only.
    RectifiedMean,
}

/// A condition on a branch current that fixes the firing delay.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Target {
    /// The branch whose current is sensed.
    pub branch: BranchId,
    /// How it is sensed.
    pub law: SenseLaw,
    /// What the sensing shall show, as the RMS of a sine.
    pub sensed_a: f64,
}

impl SenseLaw {
    /// Form factor of a sine, π/(2√2).
    pub const SINE_FORM_FACTOR: f64 = std::f64::consts::PI / (2.0 * std::f64::consts::SQRT_2);

    /// From the mean over time (of the square, or of the magnitude) to what is shown.
    pub(super) fn shown_a(self, mean: f64) -> f64 {
        match self {
            Self::TrueRms => mean.max(0.0).sqrt(),
            Self::RectifiedMean => Self::SINE_FORM_FACTOR * mean,
        }
    }

    /// Derivative of [`Self::shown_a`] by the mean.
    pub(super) fn shown_slope(self, mean: f64) -> f64 {
        match self {
            Self::TrueRms => 0.5 / mean.max(f64::MIN_POSITIVE).sqrt(),
            Self::RectifiedMean => Self::SINE_FORM_FACTOR,
        }
    }
}

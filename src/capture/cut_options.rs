use super::Stretch;

/// How whole periods are found and cut.
#[derive(Clone, Debug, PartialEq)]
pub struct CutOptions {
    /// Which part of the record.
    pub stretch: Stretch,
    /// Lowest mains frequency looked for.
    pub min_frequency_hz: f64,
    /// Highest mains frequency looked for.
    pub max_frequency_hz: f64,
    /// The frequency, when the caller knows it; then it is not estimated.
    pub frequency_hz: Option<f64>,
    /// Samples per period of the result; `None` is a power of two, at least 1024 and at least as
    /// many as the record has.
    pub samples_per_period: Option<usize>,
    /// Largest spread of the RMS of single periods, relative to the largest, within a stretch that
    /// counts as steady; what noise alone would spread comes on top.
    pub steady_ratio: f64,
}

impl Default for CutOptions {
    /// 40 to 70 Hz; steady within 5 % from the smallest to the largest period.
    fn default() -> Self {
        Self {
            stretch: Stretch::Steady,
            min_frequency_hz: 40.0,
            max_frequency_hz: 70.0,
            frequency_hz: None,
            samples_per_period: None,
            steady_ratio: 0.05,
        }
    }
}

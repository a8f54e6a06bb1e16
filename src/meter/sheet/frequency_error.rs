/// A line of a table of frequency against error.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FrequencyError {
    /// Frequency.
    pub frequency_hz: f64,
    /// (Shown minus true) over true for a sine of that frequency.
    pub error_ratio: f64,
}

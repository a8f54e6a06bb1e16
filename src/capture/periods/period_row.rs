use crate::waveform::Measures;

/// One period of a record.
#[derive(Clone, Debug, PartialEq)]
pub struct PeriodRow {
    /// Where it begins, in seconds after the first sample.
    pub start_s: f64,
    /// Mains frequency by which it was cut.
    pub frequency_hz: f64,
    /// Whether the frequency was found here; otherwise it is the one found before.
    pub tracked: bool,
    /// RMS, rectified mean, peak and mean on the uniform grid.
    pub measures: Measures,
}

impl PeriodRow {
    /// Length.
    #[must_use]
    pub fn period_s(&self) -> f64 {
        1.0 / self.frequency_hz
    }
}

/// The time axis of a record: one sample rate.
#[derive(Clone, Debug, PartialEq)]
pub struct Timing {
    /// Samples per second.
    pub sample_rate_hz: f64,
    /// Standard uncertainty of the rate relative to it, as far as the file itself shows one (coarse
    /// or bunched stamps); `None` when nothing is known.
    pub relative_standard_uncertainty_ratio: Option<f64>,
    /// Time of the first sample on the file's own axis; `None` for an absolute or missing axis.
    pub first_time_s: Option<f64>,
    /// What the rate rests on.
    pub source: TimingSource,
}

impl Timing {
    /// A rate with nothing known about its uncertainty or where the axis begins.
    pub(super) fn given(sample_rate_hz: f64, source: TimingSource) -> Self {
        Self {
            sample_rate_hz,
            relative_standard_uncertainty_ratio: None,
            first_time_s: None,
            source,
        }
    }
}

/// What a sample rate rests on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TimingSource {
    /// Given by the caller.
    Caller,
    /// Time stamps in even steps.
    EvenStamps,
    /// Number of samples between the first and the last stamp: the stamps are coarse or bunched.
    FirstAndLastStamp,
    /// An interval or rate written in the header.
    Header,
}

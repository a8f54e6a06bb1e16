use super::EventKind;

/// Something that happened in a record.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Event {
    /// When it began, in seconds after the first sample.
    pub start_s: f64,
    /// When it was over; `None` when the record ends first, or when it concerns all of it.
    pub end_s: Option<f64>,
    /// What, and how large.
    pub kind: EventKind,
}

impl Event {
    /// How long it took; `None` when its end is not known.
    #[must_use]
    pub fn duration_s(&self) -> Option<f64> {
        self.end_s.map(|end_s| end_s - self.start_s)
    }
}

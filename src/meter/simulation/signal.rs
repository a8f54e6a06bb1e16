use crate::spectrum::Transform;
use crate::waveform::{Measures, Waveform};

/// A current made ready to be read by many meters: its measures and its transform.
#[derive(Clone, Debug)]
pub struct Signal<'a> {
    pub(super) waveform: &'a Waveform,
    pub(super) measures: Measures,
    pub(super) transform: Transform,
}

impl<'a> Signal<'a> {
    /// A waveform made ready.
    #[must_use]
    pub fn of(waveform: &'a Waveform) -> Self {
        Self { waveform, measures: waveform.measures(), transform: Transform::of(waveform) }
    }

    /// The current itself.
    #[must_use]
    pub fn waveform(&self) -> &Waveform {
        self.waveform
    }

    /// Its time-domain measures.
    #[must_use]
    pub fn measures(&self) -> &Measures {
        &self.measures
    }
}

use crate::waveform::Waveform;

/// One of the currents that may flow at a step.
#[derive(Clone, Debug)]
pub struct PossibleCurrent {
    /// Where it comes from, in words: load, lamps out, capture.
    pub origin: String,
    /// The current.
    pub waveform: Waveform,
}

use crate::regulator::Step;
use crate::waveform::Waveform;

/// A brightness step with the current that flows at it, scaled to the step's nominal.
#[derive(Clone, Debug)]
pub struct StepCase {
    /// The step.
    pub step: Step,
    /// The current, its true RMS (mean included) equal to the nominal.
    pub waveform: Waveform,
    /// Where the current comes from, in words.
    pub origin: String,
}

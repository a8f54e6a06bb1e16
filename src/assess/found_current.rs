use crate::regulator::Step;
use crate::waveform::TrueRms;

/// The true current found at a step, with what is known of it.
#[derive(Clone, Debug, PartialEq)]
pub struct FoundCurrent {
    /// The step.
    pub step: Step,
    /// Best estimate.
    pub true_rms: TrueRms,
    /// Expanded uncertainty; 0 where none is told.
    pub expanded_a: f64,
}

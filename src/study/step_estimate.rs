use super::{EstimatedOutput, OutputEstimate};

/// One step over the tolerances.
#[derive(Clone, Debug, PartialEq)]
pub struct StepEstimate {
    /// The step's number.
    pub step: u32,
    /// Its nominal current.
    pub nominal_rms_a: f64,
    /// Circuits tried.
    pub circuits: u64,
    /// Those that hold the step.
    pub held: u64,
    /// Those of which it is known that they do not.
    pub out_of_reach: u64,
    /// Those without an answer.
    pub unsolved: u64,
    /// The outputs; empty when too few circuits hold the step for an interval.
    pub outputs: Vec<OutputEstimate>,
}

impl StepEstimate {
    /// Share of the circuits that do not hold the step, or have no answer.
    #[must_use]
    pub fn not_held_ratio(&self) -> f64 {
        1.0 - self.held as f64 / self.circuits.max(1) as f64
    }

    /// One of the outputs, when there is an interval for it.
    #[must_use]
    pub fn output(&self, wanted: EstimatedOutput) -> Option<&OutputEstimate> {
        self.outputs.iter().find(|estimate| estimate.output == wanted)
    }
}

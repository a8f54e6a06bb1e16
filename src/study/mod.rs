//! A description varied: every number of it as a parameter, grids and random samples, tables on disk.
//!
//! Knows: descriptions and what is computed from them. Refuses to know: screens.
//!
//! Conventions: one circuit is the description with some of its numbers changed, solved at every
//! brightness step; circuits are numbered from 0 and found by their number alone, so that parts,
//! threads and interruptions change nothing; within a circuit the steps go from the brightest down.
//! A step that cannot be held is a result, never an error.

mod estimate;
mod estimate_options;
mod estimated_output;
mod output_estimate;
mod output_trace;
mod progress;
mod step_estimate;
mod step_outcome;
mod varied_circuit;

pub use estimate::Estimate;
pub use estimate_options::EstimateOptions;
pub use estimated_output::EstimatedOutput;
pub use output_estimate::{ConvergencePoint, OutputEstimate};
pub use progress::Progress;
pub use step_estimate::StepEstimate;
pub use step_outcome::{StepOutcome, StepState};
pub use varied_circuit::VariedCircuit;

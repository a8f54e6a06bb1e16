//! Constant-current regulators as networks, and the firing delay that holds a current.
//!
//! Knows: the generic resonant source and its values, what is scaled with rating, current and
//! frequency; the operating point at a target current, found as one set of equations with the
//! firing delay; the closed control loop in time; a phase-cut source and a sine source to compare
//! with. Refuses to know: meters, fields (a load attaches itself through [`Load`]).
//!
//! Conventions: currents are RMS amperes of the output; the firing delay is counted from the zero
//! crossing of the capacitor voltage; "load" as a ratio is load resistance over rated resistance
//! P/I². Every value describes a generic machine of ours, nobody's product.

mod closed_loop;
mod guess;
mod load;
mod operating_point;
mod phase_cut;
mod resonant;
mod resonant_values;
mod scenario;
mod sine_source;
mod solver;
mod supply;
mod table;

pub use closed_loop::{LoopRun, run_closed_loop};
pub use load::{Load, ResistiveLoad};
pub use operating_point::{OperatingPoint, Reach, ReachSide};
pub use phase_cut::PhaseCutSource;
pub use resonant::{RegulatedNetwork, ResonantRegulator};
pub use resonant_values::ResonantValues;
pub use scenario::{ControlLoop, HalfCycle, LoopEvent, LoopScenario, LoopStart};
pub use sine_source::SineSource;
pub use solver::{Regulated, SolveOptions};
pub use supply::Supply;
pub use table::{TableCell, operating_table};

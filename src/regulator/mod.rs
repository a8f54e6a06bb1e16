//! Constant-current regulators of series lighting circuits: their brightness steps, and the
//! regulators themselves as networks with the firing delay that holds a current.
//!
//! Knows: brightness steps, their nominal RMS currents and the bands around them, each with its
//! source; the generic resonant source and its values, what is scaled with rating, current and
//! frequency; the operating point at a target current, found as one set of equations with the
//! firing delay; the closed control loop in time and the protection that watches it; a phase-cut
//! source and a sine source to compare with. Refuses to know: meters, lamps, screens, fields (a load attaches itself through [`Load`]).
//!
//! Conventions: steps are numbered as the trade numbers them, 1 the dimmest; currents are true RMS
//! of the output; a band includes both of its edges; the firing delay is counted from the zero
//! crossing of the capacitor voltage. Every value of a network describes a generic machine of ours,
//! nobody's product.

mod band;
mod band_set;
mod branch_summary;
mod circuit_class;
mod closed_loop;
mod followed;
mod guess;
mod load;
mod load_curve;
mod operating_point;
mod phase_cut;
pub mod protection;
mod published;
mod resonant;
mod resonant_values;
mod scenario;
mod setting_shift;
mod sine_source;
mod solver;
mod step;
mod step_table;
mod supply;
mod table;
mod values_origin;

pub use band::{Band, Placement};
pub use band_set::BandSet;
pub use branch_summary::{BranchSummary, OutputPower};
pub use circuit_class::CircuitClass;
pub use closed_loop::{LoopRun, run_closed_loop};
pub use followed::{Followed, FollowedBranch, FollowedRow};
pub use load::{Load, ResistiveLoad};
pub use load_curve::{LoadCurve, LoadPoint};
pub use operating_point::{OperatingPoint, Reach, ReachSide};
pub use phase_cut::PhaseCutSource;
pub use resonant::{RegulatedNetwork, ResonantRegulator};
pub use resonant_values::ResonantValues;
pub use scenario::{ControlLoop, HalfCycle, LoopEvent, LoopScenario, LoopStart};
pub use setting_shift::SettingShift;
pub use sine_source::SineSource;
pub use solver::{Regulated, SolveOptions};
pub use step::Step;
pub use step_table::StepTable;
pub use supply::Supply;
pub use table::{TableCell, operating_table};
pub use values_origin::ValuesOrigin;

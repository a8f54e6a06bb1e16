//! The protection of a regulator's output: it switches off when the current is too high for too
//! long, or when the loop is open.
//!
//! Knows: stages with their pick-up and delay, the detector behind them, the times allowed, how long
//! a steady overcurrent takes in closed form, and trials on the regulator in time. Refuses to know:
//! meters, files.
//!
//! Conventions: a multiple is a current over the regulator's rated current; the detector looks at the
//! end of each half cycle of the supply at a window of whole half cycles; its number is scaled so
//! that a sine shows its RMS; a time to trip counts from what happened to the moment the protection
//! acts, the time its contactor needs comes on top. Times and thresholds are editable defaults, each
//! limit with its source.

mod acting_current;
mod open_circuit;
mod overcurrent_stage;
#[expect(clippy::module_inception, reason = "one public type per file, named after it")]
mod protection;
mod protection_law;
mod reset_rule;
mod steady_rise;
mod time_limit;
mod trial;
mod trial_bench;
mod trial_run;
mod trip;
mod trip_curve;
mod watch;

pub use acting_current::ActingCurrent;
pub use open_circuit::OpenCircuit;
pub use overcurrent_stage::OvercurrentStage;
pub use protection::Protection;
pub use protection_law::ProtectionLaw;
pub use reset_rule::ResetRule;
pub use steady_rise::SteadyRise;
pub use time_limit::{LimitPlacement, TimeLimit};
pub use trial::Trial;
pub use trial_bench::TrialBench;
pub use trial_run::{LimitVerdict, TrialRun};
pub use trip::{Trip, TripCause};
pub use trip_curve::{TripCurve, TripPoint};
pub use watch::ProtectionWatch;

//! One situation at the bench: a regulator, a step, a load, lamps out and a meter, and what is then seen.
//!
//! Knows: how a choice is put to a description, and what comes of it (waveform, readings, verdict, light and life).
//! Refuses to know: screens, figures, files.
//!
//! Conventions: what is not chosen is as the description says. The current is the step's nominal as the control
//! senses it; a meter is judged on the same shape scaled to a true RMS of the nominal, as `assess` does. A current
//! out of reach is an answer and no error: then the nearest current the regulator can hold is shown, and no meter
//! is judged. An answer does not depend on what was asked before: a neighbouring solution only saves time.

mod generic_field;
mod kept;
mod meter_seen;
mod named_meter;
mod output;
mod seen;
#[expect(clippy::module_inception, reason = "one public type per file, named after it")]
mod situation;
mod situation_solver;

pub use meter_seen::MeterSeen;
pub use named_meter::named_meter;
pub use output::Output;
pub use seen::{OutOfReach, Seen};
pub use situation::Situation;
pub use situation_solver::SituationSolver;

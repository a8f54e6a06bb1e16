//! What a meter with a data sheet shows of a current, and why.
//!
//! Knows: the chain from the conductor to the digits. Refuses to know: which of a sheet's limits of
//! error the single meter uses up; those are uncertainty, not error.
//!
//! Conventions: the chain runs in the order of [`Cause::ALL`]; the error of a cause is the reading
//! with the chain up to and with that cause, minus the reading with the chain before it, so that
//! all of them add up to shown − true. The truth is the true RMS of the current, mean included.

mod breakdown;
mod cause;
mod chain;
mod conditions;
mod digits;
mod display;
mod doubts;
mod error_limits;
mod folded_noise;
mod front_end;
mod signal;
mod simulated_reading;
#[expect(clippy::module_inception, reason = "one public type per file, named after it")]
mod simulation;
mod sums;
mod window_scan;
mod window_start;
mod windowing;

pub use breakdown::Breakdown;
pub use cause::Cause;
pub use conditions::Conditions;
pub use display::Display;
pub use error_limits::ErrorLimits;
pub use signal::Signal;
pub use simulated_reading::SimulatedReading;
pub use simulation::Simulation;
pub use window_start::WindowStart;

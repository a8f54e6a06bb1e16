//! A meter against a brightness step: what it shows, how far off, and where the current lands if
//! someone trims the step until this meter shows the nominal.
//!
//! Knows: meters, steps, lamps. Refuses to know: files, screens.
//!
//! Conventions: "trimmed" means adjusted until the meter shows the step's nominal; ideal laws are
//! proportional, so the shape of the current is taken as unchanged by so small an adjustment; a
//! limit that fails is a verdict, never an error.

mod burning_hours;
mod consequence;
mod consequences;
mod fitness;
mod found_current;
pub mod instrument;
mod judgement;
mod ladder;
pub mod protection;
mod recheck;
mod recorded_step;
mod rung;
mod step_case;
mod step_result;
mod survey;
mod trimmed;

pub use burning_hours::BurningHours;
pub use consequence::Consequence;
pub use consequences::Consequences;
pub use fitness::Fitness;
pub use found_current::FoundCurrent;
pub use judgement::Judgement;
pub use ladder::ladder;
pub use recheck::{Recheck, RecheckRow};
pub use recorded_step::RecordedStep;
pub use rung::Rung;
pub use step_case::StepCase;
pub use step_result::StepResult;
pub use survey::Survey;
pub use trimmed::Trimmed;

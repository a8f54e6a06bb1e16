//! What visits say when they are put side by side: how a step drifts, when it will leave its band,
//! when the regulator is due, and what records mean once their meter is found wrong.
//!
//! Conventions: a level begins with every as-left reading that follows an adjustment; time is in
//! days from the first reading; *true* amperes are best estimates as judged on the day.

mod affected_reading;
mod due_cause;
mod due_day;
mod last_done;
mod left_step;
mod outlook;
mod step_history;
mod step_point;

pub use affected_reading::AffectedReading;
pub use due_cause::DueCause;
pub use due_day::DueDay;
pub use last_done::LastDone;
pub use left_step::LeftStep;
pub use outlook::Outlook;
pub use step_history::StepHistory;
pub use step_point::StepPoint;

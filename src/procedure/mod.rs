//! The calibration as it is done and as it is told: what happens, in which order, under which
//! preconditions, and what every entry of a visit says.
//!
//! Knows: steps, meters, judgements, people, days. Refuses to know: how entries are stored, how they
//! are shown.
//!
//! Conventions: everything that happens is an [`Entry`], never changed once written; a correction is
//! a new entry that names the one it replaces. The state of a visit is what its entries add up to,
//! and nothing else. *Shown* amperes are those on the display, *true* ones flow.

pub mod entry;
mod journal;
mod logged_entry;
pub mod plan;
mod visit;
mod visit_state;

pub use entry::Entry;
pub use journal::Journal;
pub use logged_entry::LoggedEntry;
pub use plan::Procedure;
pub use visit::Visit;
pub use visit_state::VisitState;

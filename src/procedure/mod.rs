//! The calibration as it is done and as it is told: what happens, in which order, under which
//! preconditions, and what every entry of a visit says.
//!
//! Knows: steps, meters, judgements, people, days. Refuses to know: how entries are stored, how they
//! are shown.
//!
//! Conventions: everything that happens is an [`Entry`], never changed once written; a correction is
//! a new entry that names the one it replaces. The state of a visit is what its entries add up to,
//! and nothing else. *Shown* amperes are those on the display, *true* ones flow.

mod advice;
mod bench;
mod difference;
pub mod entry;
pub mod history;
mod finding;
mod found_currents;
mod journal;
mod logged_entry;
mod memory_journal;
pub mod plan;
mod plausibility;
mod practice_meter;
mod protection_terms;
mod reading_file;
mod run;
mod typed_current;
mod visit;
mod visit_state;
mod weighed_file;

pub use advice::Advice;
pub use bench::Bench;
pub use difference::Difference;
pub use entry::Entry;
pub use finding::Finding;
pub use found_currents::FoundCurrents;
pub use journal::Journal;
pub use logged_entry::LoggedEntry;
pub use memory_journal::MemoryJournal;
pub use plan::Procedure;
pub use plausibility::Candidate;
pub use practice_meter::practice_meter;
pub use protection_terms::ProtectionTerms;
pub use reading_file::{FileAnswer, FileReading, FileRow, ReadingFile};
pub use run::{Run, dangers};
pub use typed_current::{SHOWN_A, typed_current};
pub use visit::Visit;
pub use visit_state::VisitState;

/// A signed change in percent with one decimal; what rounds to nothing has no sign.
fn signed_percent(ratio: f64) -> String {
    let text = format!("{:+.1} %", 100.0 * ratio);
    if text == "-0.0 %" || text == "+0.0 %" { "0.0 %".to_owned() } else { text }
}

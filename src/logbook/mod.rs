//! The record store: every entry of every visit in one file, for good.
//!
//! Knows: entries, their chain of hashes, one SQLite file, the clock. Refuses to know: how a reading
//! is judged, how anything is shown.
//!
//! Conventions: the table of entries is only ever added to; everything else in the file is worked
//! out from it and can be worked out again. Numbers run from 1 without gaps. An entry is safe on
//! disk when [`Logbook::append`](crate::procedure::Journal::append) returns, and all of it or nothing is there. Each entry
//! carries the hash of the one before; what exactly is hashed stands in [`chain`]. The clock is read
//! here and nowhere below.

pub mod chain;
mod append;
mod backup;
mod clock;
mod correction;
mod derived;
mod export;
mod export_format;
mod filed;
mod head;
mod history;
mod import;
#[expect(clippy::module_inception, reason = "one public type per file, named after it")]
mod logbook;
mod new_file;
mod queries;
mod recomputation;
mod recompute;
mod rules;
mod schema;
mod sent;
mod sound;
mod stored_entry;
mod trend_point;
mod trouble;
mod verification;
mod verify;
mod visit_row;

pub use clock::Clock;
pub use export_format::ExportFormat;
pub use filed::Filed;
pub use head::Head;
pub use logbook::Logbook;
pub use recomputation::{Differing, Recomputation};
pub use trend_point::TrendPoint;
pub use verification::{Misfit, Verification};
pub use visit_row::VisitRow;

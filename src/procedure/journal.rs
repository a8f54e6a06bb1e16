use crate::error::Result;

use super::{Entry, LoggedEntry};

/// Where entries are written down, one after the other, for good.
///
/// The logbook is one; a run that is only tried out keeps its entries in memory.
pub trait Journal {
    /// Writes an entry down; it is safe when this returns.
    ///
    /// `visit` is the number of the visit's opening; `None` for an opening itself, which begins a
    /// visit, and for an entry of no visit. `replaces` is the number of the entry it takes the place
    /// of.
    ///
    /// # Errors
    /// `Inconsistent` when the entry does not fit what is already there; `Io` when it cannot be
    /// written. Nothing is written then.
    fn append(
        &mut self,
        visit: Option<u64>,
        replaces: Option<u64>,
        entry: Entry,
    ) -> Result<LoggedEntry>;

    /// Every entry of a visit, in the order they were written.
    ///
    /// # Errors
    /// `Inconsistent` when there is no such visit; `Io` when it cannot be read.
    fn visit_entries(&self, visit: u64) -> Result<Vec<LoggedEntry>>;
}

impl<J: Journal + ?Sized> Journal for Box<J> {
    fn append(
        &mut self,
        visit: Option<u64>,
        replaces: Option<u64>,
        entry: Entry,
    ) -> Result<LoggedEntry> {
        (**self).append(visit, replaces, entry)
    }

    fn visit_entries(&self, visit: u64) -> Result<Vec<LoggedEntry>> {
        (**self).visit_entries(visit)
    }
}

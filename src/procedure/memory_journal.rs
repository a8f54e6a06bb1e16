use jiff::Timestamp;

use crate::error::{Error, Result};

use super::{Entry, Journal, LoggedEntry, Visit};

/// Entries that live as long as the program: for trying a run out, and for tests.
///
/// No clock: every entry carries the moment it was made with. No chain: the hashes are empty.
#[derive(Clone, Debug)]
pub struct MemoryJournal {
    at: Timestamp,
    by: String,
    entries: Vec<LoggedEntry>,
}

impl MemoryJournal {
    /// An empty one.
    #[must_use]
    pub fn new(at: Timestamp, by: impl Into<String>) -> Self {
        Self { at, by: by.into(), entries: Vec::new() }
    }

    /// Everything written, in order.
    #[must_use]
    pub fn entries(&self) -> &[LoggedEntry] {
        &self.entries
    }
}

impl Journal for MemoryJournal {
    fn append(
        &mut self,
        visit: Option<u64>,
        replaces: Option<u64>,
        entry: Entry,
    ) -> Result<LoggedEntry> {
        let number = self.entries.len() as u64 + 1;
        let is_opening = matches!(entry, Entry::Opening(_)) && replaces.is_none();
        let visit = if is_opening { Some(number) } else { visit };
        if visit.is_none() && entry.is_of_visit() {
            return Err(Error::inconsistent(format!("a {} belongs to a visit", entry.kind())));
        }
        let logged = LoggedEntry {
            number,
            at: self.at,
            by: self.by.clone(),
            program: concat!("loopcrest ", env!("CARGO_PKG_VERSION")).to_owned(),
            visit,
            replaces,
            entry,
            previous_hash: String::new(),
            hash: String::new(),
        };
        // What does not add up is not written.
        if let Some(visit) = visit {
            let mut all = self.of_visit(visit);
            all.push(logged.clone());
            Visit::from_entries(all)?;
        }
        self.entries.push(logged.clone());
        Ok(logged)
    }

    fn visit_entries(&self, visit: u64) -> Result<Vec<LoggedEntry>> {
        let entries = self.of_visit(visit);
        if entries.is_empty() {
            return Err(Error::inconsistent(format!("there is no visit {visit}")));
        }
        Ok(entries)
    }
}

impl MemoryJournal {
    fn of_visit(&self, visit: u64) -> Vec<LoggedEntry> {
        self.entries.iter().filter(|logged| logged.visit == Some(visit)).cloned().collect()
    }
}

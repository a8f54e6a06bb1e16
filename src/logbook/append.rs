use rusqlite::{Connection, TransactionBehavior};

use crate::error::{Error, Result};
use crate::procedure::{Entry, Journal, LoggedEntry};

use super::stored_entry::StoredEntry;
use super::trouble::{Attempt, InLogbook};
use super::{Logbook, chain, derived, rules, sent};

/// What writes entries, as it signs them.
const PROGRAM: &str = concat!("loopcrest ", env!("CARGO_PKG_VERSION"));

impl Journal for Logbook {
    fn append(
        &mut self,
        visit: Option<u64>,
        replaces: Option<u64>,
        entry: Entry,
    ) -> Result<LoggedEntry> {
        let path = self.path().to_owned();
        self.written(visit, replaces, entry).in_logbook(&path)
    }

    fn visit_entries(&self, visit: u64) -> Result<Vec<LoggedEntry>> {
        let stored = self.stored_of_visit(visit).in_logbook(self.path())?;
        stored.iter().map(StoredEntry::read).collect()
    }
}

impl Logbook {
    fn written(
        &mut self,
        visit: Option<u64>,
        replaces: Option<u64>,
        entry: Entry,
    ) -> Attempt<LoggedEntry> {
        let by = self.person.clone().ok_or_else(|| {
            Error::inconsistent("nobody is named who writes").with_hint("say who with --by NAME")
        })?;
        let (clock, despite_clock) = (self.clock, self.despite_clock);
        let program = sent::signature(PROGRAM, self.sent_as.as_deref());
        let sent_as = self.sent_as.clone();
        let json = faithful(&entry)?;
        // From here on nobody else writes: what is checked still holds when it is written.
        let transaction =
            self.connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
        if let Some(name) = &sent_as
            && let Some(earlier) = sent::stored(&transaction, name)?
        {
            return Err(Error::inconsistent(format!(
                "what was sent as {name} is entry {} already",
                earlier.number
            ))
            .into());
        }
        rules::check(&transaction, visit, replaces, &entry)?;
        let last = StoredEntry::last(&transaction)?;
        if let Some(last) = last.as_ref().filter(|last| chain::hash_of(last) != last.hash) {
            return Err(Error::inconsistent(format!(
                "entry {} is not as it was written; nothing is added behind it",
                last.number
            ))
            .with_hint(
                "`loopcrest logbook verify` looks through all of it; restore the last backup",
            )
            .into());
        }
        let now = clock.now();
        let behind = match &last {
            Some(last) if now < last.time()? => Some(format!(
                "the clock says {now}, earlier than entry {}, written at {}",
                last.number, last.at
            )),
            _ => None,
        };
        if let Some(behind) = behind.as_ref().filter(|_| !despite_clock) {
            return Err(Error::inconsistent(behind.clone())
                .with_hint("set the clock right; or write all the same with --despite-clock")
                .into());
        }
        let number = last.as_ref().map_or(1, |last| last.number + 1);
        let mut stored = StoredEntry {
            number,
            at: now.to_string(),
            by,
            program,
            visit: if matches!(entry, Entry::Opening(_)) && visit.is_none() {
                Some(number)
            } else {
                visit
            },
            replaces,
            kind: entry.kind().to_owned(),
            json,
            previous_hash: last.map_or(chain::OF_NOTHING.to_owned(), |last| last.hash),
            hash: String::new(),
        };
        stored.hash = chain::hash_of(&stored);
        let logged = put(&transaction, &stored)?;
        if let Some(behind) = behind {
            put(&transaction, &remark_after(&stored, behind)?)?;
        }
        transaction.commit()?;
        Ok(logged)
    }
}

/// Writes a finished entry and takes it into the lists.
pub(super) fn put(connection: &Connection, stored: &StoredEntry) -> Attempt<LoggedEntry> {
    stored.insert(connection)?;
    let logged = stored.read()?;
    derived::take_in(connection, &logged)?;
    Ok(logged)
}

/// A remark that follows an entry, by the same person at the same time.
fn remark_after(entry: &StoredEntry, text: String) -> Result<StoredEntry> {
    let remark = Entry::Remark { text: format!("{text}: written all the same") };
    let mut stored = StoredEntry {
        number: entry.number + 1,
        program: PROGRAM.to_owned(),
        replaces: None,
        kind: remark.kind().to_owned(),
        json: faithful(&remark)?,
        previous_hash: entry.hash.clone(),
        hash: String::new(),
        ..entry.clone()
    };
    stored.hash = chain::hash_of(&stored);
    Ok(stored)
}

/// The text of an entry, which says all that the entry says: a number that is none would be lost.
fn faithful(entry: &Entry) -> Result<String> {
    let unsound =
        || Error::inconsistent(format!("a value of this {} is not a finite number", entry.kind()));
    let text = serde_json::to_string(entry).map_err(|_| unsound())?;
    match serde_json::from_str::<Entry>(&text) {
        Ok(same) if same == *entry => Ok(text),
        _ => Err(unsound()),
    }
}

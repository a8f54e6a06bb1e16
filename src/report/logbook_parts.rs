use schemars::JsonSchema;
use serde::Serialize;

use crate::error::Result;
use crate::logbook::{Head, Logbook, VisitRow};
use crate::procedure::{LoggedEntry, VisitState};

use super::entry_wording::entry_words;

/// An entry of a logbook.
#[derive(Debug, Serialize, JsonSchema)]
pub struct EntryPart {
    /// Its number.
    pub number: u64,
    /// When it was written, UTC.
    pub at: String,
    /// Who wrote it.
    pub by: String,
    /// Program and version that wrote it.
    pub program: String,
    /// The visit it belongs to.
    pub visit: Option<u64>,
    /// The entry it replaces.
    pub replaces: Option<u64>,
    /// The entry that stands in its place.
    pub replaced_by: Option<u64>,
    /// What it says, in one line.
    pub says: String,
    /// All that it says.
    pub entry: serde_json::Value,
    /// Hash of the entry before.
    pub previous_hash: String,
    /// Its own.
    pub hash: String,
}

impl EntryPart {
    /// An entry, and which one stands in its place.
    ///
    /// # Panics
    /// Never: an entry is made of numbers, text, lists and tables with text keys.
    #[must_use]
    pub fn new(logged: &LoggedEntry, replaced_by: Option<u64>) -> Self {
        Self {
            number: logged.number,
            at: logged.at.to_string(),
            by: logged.by.clone(),
            program: logged.program.clone(),
            visit: logged.visit,
            replaces: logged.replaces,
            replaced_by,
            says: entry_words(&logged.entry),
            entry: serde_json::to_value(&logged.entry)
                .expect("entries hold nothing that JSON cannot express"),
            previous_hash: logged.previous_hash.clone(),
            hash: logged.hash.clone(),
        }
    }
}

/// A visit in a list.
#[derive(Debug, Serialize, JsonSchema)]
pub struct VisitRowPart {
    /// Its number.
    pub number: u64,
    /// The regulator.
    pub regulator: String,
    /// The circuit it carried.
    pub circuit: Option<String>,
    /// The meter.
    pub meter: String,
    /// The day, at the place.
    pub day: String,
    /// Who did it.
    pub person: String,
    /// `open`, `complete` or `broken-off`.
    pub state: &'static str,
    /// The same in plain words.
    pub state_words: &'static str,
    /// Next due day.
    pub next_due: Option<String>,
    /// How many readings of it count.
    pub readings: u64,
}

impl From<&VisitRow> for VisitRowPart {
    fn from(row: &VisitRow) -> Self {
        Self {
            number: row.number,
            regulator: row.regulator.clone(),
            circuit: row.circuit.clone(),
            meter: row.meter.clone(),
            day: row.day.to_string(),
            person: row.person.clone(),
            state: match row.state {
                VisitState::Open => "open",
                VisitState::Complete => "complete",
                VisitState::Broken => "broken-off",
            },
            state_words: row.state.words(),
            next_due: row.next_due.map(|day| day.to_string()),
            readings: row.readings,
        }
    }
}

/// The last entry of a logbook.
#[derive(Debug, Serialize, JsonSchema)]
pub struct HeadPart {
    /// Its number: how many entries there are.
    pub number: u64,
    /// Its hash.
    pub hash: String,
}

impl From<&Head> for HeadPart {
    fn from(head: &Head) -> Self {
        Self { number: head.number, hash: head.hash.clone() }
    }
}

/// The entries of a visit with those that stand in their places.
pub(super) fn visit_entries(logbook: &Logbook, visit: u64) -> Result<Vec<EntryPart>> {
    let entries = logbook.visit(visit)?.entries().to_vec();
    let by = |number| {
        entries.iter().find(|other| other.replaces == Some(number)).map(|other| other.number)
    };
    Ok(entries.iter().map(|logged| EntryPart::new(logged, by(logged.number))).collect())
}

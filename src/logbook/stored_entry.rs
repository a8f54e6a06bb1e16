use jiff::Timestamp;
use rusqlite::{Connection, OptionalExtension, Row, params};
use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;

use crate::error::{Error, Result};
use crate::procedure::{Entry, LoggedEntry};

use super::trouble::Attempt;

/// An entry as it stands in the file: every text letter for letter, since the hash is of those.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct StoredEntry {
    pub(super) number: u64,
    pub(super) at: String,
    pub(super) by: String,
    pub(super) program: String,
    pub(super) visit: Option<u64>,
    pub(super) replaces: Option<u64>,
    pub(super) kind: String,
    pub(super) json: String,
    pub(super) previous_hash: String,
    pub(super) hash: String,
}

/// One line of an export: the fields of [`LoggedEntry`], the entry's own text untouched.
#[derive(Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
struct Line<'a> {
    number: u64,
    at: String,
    by: String,
    program: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    visit: Option<u64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    replaces: Option<u64>,
    #[serde(borrow)]
    entry: &'a RawValue,
    previous_hash: String,
    hash: String,
}

impl StoredEntry {
    /// Columns in the order in which [`Self::from_row`] takes them.
    pub(super) const COLUMNS: &'static str =
        "number, at, person, program, visit, replaces, kind, json, previous_hash, hash";

    pub(super) fn from_row(row: &Row<'_>) -> rusqlite::Result<Self> {
        let count = |column| row.get::<_, i64>(column).map(i64::cast_unsigned);
        let optional =
            |column| row.get::<_, Option<i64>>(column).map(|n| n.map(i64::cast_unsigned));
        Ok(Self {
            number: count(0)?,
            at: row.get(1)?,
            by: row.get(2)?,
            program: row.get(3)?,
            visit: optional(4)?,
            replaces: optional(5)?,
            kind: row.get(6)?,
            json: row.get(7)?,
            previous_hash: row.get(8)?,
            hash: row.get(9)?,
        })
    }

    pub(super) fn find(connection: &Connection, number: u64) -> Attempt<Option<Self>> {
        let query = format!("SELECT {} FROM entry WHERE number = ?1", Self::COLUMNS);
        let mut statement = connection.prepare_cached(&query)?;
        Ok(statement.query_row([number.cast_signed()], Self::from_row).optional()?)
    }

    /// The hash of an entry and that of the one before it, as they stand there.
    pub(super) fn hashes(
        connection: &Connection,
        number: u64,
    ) -> Attempt<Option<(String, String)>> {
        let mut statement =
            connection.prepare_cached("SELECT hash, previous_hash FROM entry WHERE number = ?1")?;
        let read = |row: &Row<'_>| Ok((row.get(0)?, row.get(1)?));
        Ok(statement.query_row([number.cast_signed()], read).optional()?)
    }

    pub(super) fn last(connection: &Connection) -> Attempt<Option<Self>> {
        let query = format!("SELECT {} FROM entry ORDER BY number DESC LIMIT 1", Self::COLUMNS);
        let mut statement = connection.prepare_cached(&query)?;
        Ok(statement.query_row([], Self::from_row).optional()?)
    }

    pub(super) fn insert(&self, connection: &Connection) -> Attempt<()> {
        let query = format!(
            "INSERT INTO entry ({}) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)",
            Self::COLUMNS
        );
        let optional = |number: Option<u64>| number.map(u64::cast_signed);
        connection.prepare_cached(&query)?.execute(params![
            self.number.cast_signed(),
            self.at,
            self.by,
            self.program,
            optional(self.visit),
            optional(self.replaces),
            self.kind,
            self.json,
            self.previous_hash,
            self.hash,
        ])?;
        Ok(())
    }

    /// The same entry, read.
    ///
    /// # Errors
    /// `Malformed` when its text says something this program does not know.
    pub(super) fn read(&self) -> Result<LoggedEntry> {
        let entry: Entry = serde_json::from_str(&self.json).map_err(|trouble| {
            Error::malformed(format!("a {} this program knows", self.kind), trouble.to_string())
                .with_context(format!("entry {}", self.number))
                .with_hint("`loopcrest logbook verify` tells whether the file was changed")
        })?;
        Ok(LoggedEntry {
            number: self.number,
            at: self.time()?,
            by: self.by.clone(),
            program: self.program.clone(),
            visit: self.visit,
            replaces: self.replaces,
            entry,
            previous_hash: self.previous_hash.clone(),
            hash: self.hash.clone(),
        })
    }

    pub(super) fn time(&self) -> Result<Timestamp> {
        self.at.parse().map_err(|_| {
            Error::malformed("a time such as 2026-11-25T09:00:00Z", format!("\"{}\"", self.at))
                .with_context(format!("entry {}", self.number))
        })
    }

    /// One line of an export in JSON lines, with its newline.
    pub(super) fn to_line(&self) -> Result<String> {
        let entry =
            serde_json::from_str(&self.json).map_err(|trouble| self.unreadable(&trouble))?;
        let line = Line {
            number: self.number,
            at: self.at.clone(),
            by: self.by.clone(),
            program: self.program.clone(),
            visit: self.visit,
            replaces: self.replaces,
            entry,
            previous_hash: self.previous_hash.clone(),
            hash: self.hash.clone(),
        };
        let mut text = serde_json::to_string(&line).map_err(|trouble| self.unreadable(&trouble))?;
        text.push('\n');
        Ok(text)
    }

    fn unreadable(&self, trouble: &serde_json::Error) -> Error {
        Error::malformed("JSON", trouble.to_string()).with_context(format!("entry {}", self.number))
    }

    /// What [`Self::to_line`] wrote.
    pub(super) fn from_line(text: &str) -> Result<Self> {
        #[derive(Deserialize)]
        struct Kind {
            kind: String,
        }
        let wrong = |trouble: serde_json::Error| {
            Error::malformed("an entry of a logbook as JSON", trouble.to_string())
        };
        let line: Line<'_> = serde_json::from_str(text).map_err(wrong)?;
        let kind: Kind = serde_json::from_str(line.entry.get()).map_err(wrong)?;
        Ok(Self {
            number: line.number,
            at: line.at,
            by: line.by,
            program: line.program,
            visit: line.visit,
            replaces: line.replaces,
            kind: kind.kind,
            json: line.entry.get().to_owned(),
            previous_hash: line.previous_hash,
            hash: line.hash,
        })
    }
}

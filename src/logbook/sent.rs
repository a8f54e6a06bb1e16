use rusqlite::OptionalExtension;

use crate::error::{Error, Result};
use crate::procedure::LoggedEntry;

use super::Logbook;
use super::stored_entry::StoredEntry;
use super::trouble::{Attempt, InLogbook};

/// What stands between the program's signature and the name its client gave an entry.
const MARK: &str = ", sent as ";
/// Letters of such a name.
const LETTERS: std::ops::RangeInclusive<usize> = 8..=64;

impl Logbook {
    /// The same logbook, whose entries carry the name their client gave them, so that one that is sent again is
    /// written once. The name stands behind the program in the entry's signature, and so under its hash.
    ///
    /// # Errors
    /// `Malformed` for a name of other letters or length.
    pub fn with_sent_as(mut self, name: &str) -> Result<Self> {
        let is_plain = name.bytes().all(|byte| byte.is_ascii_alphanumeric() || byte == b'-');
        if !is_plain || !LETTERS.contains(&name.len()) {
            let (least, most) = (LETTERS.start(), LETTERS.end());
            let expected = format!("{least} to {most} letters, digits or hyphens");
            return Err(Error::malformed(expected, format!("\"{}\"", name.escape_default())));
        }
        self.sent_as = Some(name.to_owned());
        Ok(self)
    }

    /// The entry its client gave this name; `None` when none was written.
    ///
    /// # Errors
    /// `Io` when the logbook cannot be read.
    pub fn sent(&self, name: &str) -> Result<Option<LoggedEntry>> {
        let found = stored(&self.connection, name).in_logbook(self.path())?;
        found.map(|stored| stored.read()).transpose()
    }
}

/// What writes an entry, and what its client called it.
pub(super) fn signature(program: &str, sent_as: Option<&str>) -> String {
    sent_as.map_or_else(|| program.to_owned(), |name| format!("{program}{MARK}{name}"))
}

/// The entry of that name, under whatever version of the program.
pub(super) fn stored(
    connection: &rusqlite::Connection,
    name: &str,
) -> Attempt<Option<StoredEntry>> {
    let query = format!(
        "SELECT {} FROM entry WHERE substr(program, -length(?1)) = ?1 ORDER BY number LIMIT 1",
        StoredEntry::COLUMNS
    );
    let mut statement = connection.prepare_cached(&query)?;
    Ok(statement.query_row([format!("{MARK}{name}")], StoredEntry::from_row).optional()?)
}

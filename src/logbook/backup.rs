use std::path::Path;
use std::time::Duration;

use rusqlite::Connection;
use rusqlite::backup::Backup;

use crate::error::Result;

use super::new_file::NewFile;
use super::trouble::InLogbook;
use super::{Head, Logbook};

impl Logbook {
    /// Copies the logbook into a new file while others may go on writing, and returns the last entry
    /// of the copy.
    ///
    /// # Errors
    /// `Io` when there is a file of that name already, or it cannot be written.
    pub fn backup(&self, target: &Path) -> Result<Option<Head>> {
        let file = NewFile::begin(target)?;
        let mut connection = Connection::open(file.path()).in_logbook(target)?;
        copy(&self.connection, &mut connection).in_logbook(target)?;
        connection.close().map_err(|(_, error)| error).in_logbook(target)?;
        // What is there is what counts: read it back before it gets its name.
        let head = Self::open_read_only(file.path())?.head()?;
        file.finish()?;
        Ok(head)
    }
}

/// Copies all of a database as it stands at one moment.
pub(super) fn copy(from: &Connection, to: &mut Connection) -> rusqlite::Result<()> {
    Backup::new(from, to)?.run_to_completion(i32::MAX, Duration::from_millis(1), None)
}

use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::{Connection, OpenFlags};

use crate::error::{Error, Result};

use super::new_file::NewFile;
use super::trouble::{Attempt, InLogbook, Trouble};
use super::{Clock, rules, schema};

/// A logbook: one SQLite file of entries.
///
/// Several programs may have the same one open; they write one after the other. While one is open,
/// two more files stand beside it (`-wal`, `-shm`): they belong to it, so copy a logbook with
/// [`Self::backup`] and not as a file. It must lie on a disk of this machine, not on a network's.
#[derive(Debug)]
pub struct Logbook {
    pub(super) connection: Connection,
    path: PathBuf,
    pub(super) person: Option<String>,
    pub(super) clock: Clock,
    pub(super) despite_clock: bool,
    pub(super) sent_as: Option<String>,
}

impl Logbook {
    /// Name of a logbook that is not named.
    pub const DEFAULT_NAME: &'static str = "loopcrest-logbook.sqlite";
    /// How long a program waits for another that is writing.
    const PATIENCE: Duration = Duration::from_secs(5);

    /// Begins a new logbook.
    ///
    /// # Errors
    /// `Io` when there is a file of that name already, or it cannot be written.
    pub fn create(path: &Path) -> Result<Self> {
        Self::create_with(path, |_| Ok(()))?;
        Self::open(path)
    }

    /// Opens a logbook for writing, or begins it when there is no file of that name; whether it was
    /// begun.
    ///
    /// # Errors
    /// As [`Self::create`] and [`Self::open`].
    pub fn open_or_create(path: &Path) -> Result<(Self, bool)> {
        if path.symlink_metadata().is_ok() {
            return Ok((Self::open(path)?, false));
        }
        match Self::create(path) {
            Ok(logbook) => Ok((logbook, true)),
            // Another program was quicker.
            Err(_) if path.is_file() => Ok((Self::open(path)?, false)),
            Err(error) => Err(error),
        }
    }

    /// Begins a new logbook with something in it; it appears whole or not at all.
    pub(super) fn create_with(
        path: &Path,
        fill: impl FnOnce(&mut Connection) -> Attempt<()>,
    ) -> Result<()> {
        let file = NewFile::begin(path)?;
        let make = || -> Attempt<()> {
            let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
            let mut connection = Connection::open_with_flags(file.path(), flags)?;
            schema::prepare(&connection)?;
            schema::begin(&mut connection)?;
            fill(&mut connection)?;
            connection.pragma_update(None, "journal_mode", "WAL")?;
            connection.close().map_err(|(_, error)| error)?;
            Ok(())
        };
        make().in_logbook(path)?;
        file.finish()
    }

    /// Opens a logbook for writing; one of an older version is brought forward.
    ///
    /// # Errors
    /// `Io` when it is not there, may not be written or is no SQLite file; `Malformed` when it is
    /// another program's, or a newer version's.
    pub fn open(path: &Path) -> Result<Self> {
        let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        let mut logbook = Self::connect(path, Connection::open_with_flags(path, flags))?;
        let mut prepare = || -> Attempt<()> {
            schema::prepare(&logbook.connection)?;
            if schema::version(&logbook.connection)? < schema::VERSION {
                schema::migrate(&mut logbook.connection)?;
            }
            logbook.connection.pragma_update(None, "journal_mode", "WAL")?;
            Ok(())
        };
        prepare().in_logbook(path)?;
        Ok(logbook)
    }

    /// Opens a logbook for reading only: nothing is changed, whatever is asked of it. One of an older
    /// version is brought forward in memory.
    ///
    /// # Errors
    /// As [`Self::open`].
    pub fn open_read_only(path: &Path) -> Result<Self> {
        // Opened for writing where that may be, and then held from it: a connection that can only
        // read leaves its two files behind.
        let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        let mut logbook = Self::connect(path, Connection::open_with_flags(path, flags))?;
        let cannot_share = matches!(
            schema::version(&logbook.connection),
            Err(Trouble::Store(ref error)) if matches!(
                error.sqlite_error_code(),
                Some(rusqlite::ErrorCode::CannotOpen | rusqlite::ErrorCode::ReadOnly)
            )
        );
        if cannot_share && !has_unmerged(path) {
            // A folder that may not be written, such as a disc: nobody else can be writing either.
            let uri = format!("file:{}?immutable=1", percent_encoded(path));
            let flags = OpenFlags::SQLITE_OPEN_READ_ONLY
                | OpenFlags::SQLITE_OPEN_NO_MUTEX
                | OpenFlags::SQLITE_OPEN_URI;
            logbook = Self::connect(path, Connection::open_with_flags(uri, flags))?;
        }
        let mut prepare = || -> Attempt<()> {
            if schema::version(&logbook.connection)? < schema::VERSION {
                let mut copy = Connection::open_in_memory()?;
                super::backup::copy(&logbook.connection, &mut copy)?;
                schema::migrate(&mut copy)?;
                logbook.connection = copy;
            }
            schema::prepare(&logbook.connection)?;
            logbook.connection.pragma_update(None, "query_only", true)?;
            Ok(())
        };
        prepare().in_logbook(path)?;
        Ok(logbook)
    }

    /// A logbook in memory, gone when it is dropped: for trying out.
    ///
    /// # Errors
    /// `Io` when there is no memory for it.
    pub fn in_memory() -> Result<Self> {
        let path = Path::new("logbook in memory");
        let connection = schema::in_memory().in_logbook(path)?;
        Self::connect(path, Ok(connection))
    }

    fn connect(path: &Path, connection: rusqlite::Result<Connection>) -> Result<Self> {
        let in_memory = matches!(&connection, Ok(connection) if connection.path() == Some(""));
        if !in_memory && !path.is_file() {
            let (kind, what) = if path.exists() {
                (std::io::ErrorKind::InvalidInput, "this is no file")
            } else {
                (std::io::ErrorKind::NotFound, "there is no such logbook")
            };
            return Err(Error::io(path, std::io::Error::new(kind, what)).with_hint(
                "`loopcrest logbook add` begins a new one; --logbook FILE names another",
            ));
        }
        let connection = connection.in_logbook(path)?;
        connection.busy_timeout(Self::PATIENCE).in_logbook(path)?;
        Ok(Self {
            connection,
            path: path.to_owned(),
            person: None,
            clock: Clock::System,
            despite_clock: false,
            sent_as: None,
        })
    }

    /// The same logbook, written to by this person.
    ///
    /// # Errors
    /// `Malformed` when the name is blank or runs over a line.
    pub fn with_person(mut self, name: &str) -> Result<Self> {
        rules::check_person(name)?;
        self.person = Some(name.trim().to_owned());
        Ok(self)
    }

    /// The same logbook by another clock.
    #[must_use]
    pub fn with_clock(mut self, clock: Clock) -> Self {
        self.clock = clock;
        self
    }

    /// The same logbook, written to even when the clock is behind the last entry; a remark says so.
    #[must_use]
    pub fn despite_clock(mut self) -> Self {
        self.despite_clock = true;
        self
    }

    /// The same logbook, waiting so long for another program that is writing.
    ///
    /// # Errors
    /// `Io` when the store refuses.
    pub fn with_patience(self, patience: Duration) -> Result<Self> {
        self.connection.busy_timeout(patience).in_logbook(&self.path)?;
        Ok(self)
    }

    /// Its file, as it was named.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }
}

/// Whether entries stand in the file beside it that are not yet in the logbook's own.
fn has_unmerged(path: &Path) -> bool {
    let mut beside = path.as_os_str().to_owned();
    beside.push("-wal");
    std::fs::metadata(beside).is_ok_and(|about| about.len() > 0)
}

/// A path as part of a URI (RFC 3986): everything but plain characters by its bytes.
fn percent_encoded(path: &Path) -> String {
    let plain = |byte: u8| byte.is_ascii_alphanumeric() || b"/._-~".contains(&byte);
    path.as_os_str()
        .as_encoded_bytes()
        .iter()
        .map(
            |&byte| if plain(byte) { char::from(byte).to_string() } else { format!("%{byte:02X}") },
        )
        .collect()
}

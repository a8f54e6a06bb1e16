use std::io::ErrorKind;
use std::path::Path;

use rusqlite::ErrorCode;

use crate::error::{Error, Result};

/// Result of something inside.
pub(super) type Attempt<T> = std::result::Result<T, Trouble>;

/// What went wrong inside: the library's own error, or the store's, which does not know its file yet.
#[derive(Debug)]
pub(super) enum Trouble {
    /// Said already.
    Said(Error),
    /// The store's.
    Store(rusqlite::Error),
}

impl From<Error> for Trouble {
    fn from(error: Error) -> Self {
        Self::Said(error)
    }
}

impl From<rusqlite::Error> for Trouble {
    fn from(error: rusqlite::Error) -> Self {
        Self::Store(error)
    }
}

/// Names the file, and says what to try.
pub(super) trait InLogbook<T> {
    fn in_logbook(self, path: &Path) -> Result<T>;
}

impl<T> InLogbook<T> for std::result::Result<T, Trouble> {
    fn in_logbook(self, path: &Path) -> Result<T> {
        self.map_err(|trouble| match trouble {
            Trouble::Said(error) => error.in_file(path),
            Trouble::Store(error) => told(path, &error),
        })
    }
}

impl<T> InLogbook<T> for rusqlite::Result<T> {
    fn in_logbook(self, path: &Path) -> Result<T> {
        self.map_err(|error| told(path, &error))
    }
}

/// The store's error in words of ours: what it means for what was being written, and what to try.
fn told(path: &Path, error: &rusqlite::Error) -> Error {
    let (kind, what, hint) = match error.sqlite_error_code() {
        Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => (
            ErrorKind::WouldBlock,
            "another program is writing to the logbook and has not finished; nothing was written"
                .to_owned(),
            "wait for it or end it, then try again",
        ),
        Some(ErrorCode::DiskFull) => (
            ErrorKind::StorageFull,
            "the disk is full; nothing of this was written, everything before it is safe"
                .to_owned(),
            "make room on the disk, then enter it again",
        ),
        Some(ErrorCode::ReadOnly | ErrorCode::PermissionDenied) => (
            ErrorKind::PermissionDenied,
            "the logbook may only be read; nothing was written".to_owned(),
            "look at the permissions of the file and of its folder: both must be writable",
        ),
        Some(ErrorCode::NotADatabase) => (
            ErrorKind::InvalidData,
            "this is no logbook: not an SQLite file, or its beginning was changed".to_owned(),
            "name the right file with --logbook, or restore the last backup",
        ),
        Some(ErrorCode::DatabaseCorrupt) => (
            ErrorKind::InvalidData,
            format!("the file is damaged ({error})"),
            "keep a copy of it as it is, then restore the last backup or import the last export",
        ),
        Some(ErrorCode::CannotOpen) => (
            ErrorKind::PermissionDenied,
            "the logbook cannot be opened".to_owned(),
            "look at the permissions of the file and of its folder: both must be writable",
        ),
        Some(ErrorCode::SystemIoFailure) => (
            ErrorKind::Other,
            format!(
                "the system cannot read or write the file ({error}); nothing of this was written"
            ),
            "look at the disk: is it full, is there a limit on the size of files, is it still there?",
        ),
        _ => (
            ErrorKind::Other,
            format!("the store refuses ({error}); nothing was written"),
            "`loopcrest logbook verify` tells whether the file was changed by another program",
        ),
    };
    Error::io(path, std::io::Error::new(kind, what)).with_hint(hint)
}

//! The files of a sweep: its table, the card beside it, the rows of a Parquet file in the making.

use std::path::{Path, PathBuf};

use crate::error::{Error, Result};

use super::TableFormat;

/// The complaint about a table that is somebody else's.
pub(super) fn exists(out: &Path) -> Error {
    Error::inconsistent(format!("{} exists and is no sweep that could go on", out.display()))
        .with_hint("choose another name, or --replace")
}

/// Says which sweep a table is.
pub(super) fn card_of(out: &Path) -> PathBuf {
    beside(out, ".sweep.json")
}

/// Where the rows are written while they come.
pub(super) fn rows_of(out: &Path, format: TableFormat) -> PathBuf {
    match format {
        TableFormat::Csv | TableFormat::JsonLines => out.to_owned(),
        TableFormat::Parquet => beside(out, ".rows"),
    }
}

/// The table's name with more behind it.
pub(super) fn beside(out: &Path, ending: &str) -> PathBuf {
    let mut name = out.as_os_str().to_owned();
    name.push(ending);
    name.into()
}

/// Writes a small file whole or not at all.
pub(super) fn write_whole(file: &Path, text: &str) -> Result<()> {
    let unfinished = beside(file, ".unfinished");
    std::fs::write(&unfinished, text).map_err(|source| Error::io(&unfinished, source))?;
    std::fs::rename(&unfinished, file).map_err(|source| Error::io(file, source))
}

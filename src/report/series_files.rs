use std::path::{Path, PathBuf};

use tempfile::NamedTempFile;

use crate::capture::{CycleWindow, HalfCycle, PeriodRow, PeriodSink};
use crate::error::{Error, Result};

use super::SeriesKind;
use super::series_kind::{half_cycle_cells, period_cells, window_cells};
use super::series_table::{RowWriter, rows_for};

/// The time series of a record, written row by row while it is read: CSV or Parquet by the end of
/// each file's name.
///
/// A file appears whole or not at all, and never in place of one that is there.
#[derive(Default)]
pub struct SeriesFiles {
    files: Vec<SeriesFile>,
}

struct SeriesFile {
    kind: SeriesKind,
    target: PathBuf,
    staged: NamedTempFile,
    rows: Box<dyn RowWriter>,
    count: u64,
}

impl SeriesFiles {
    /// Begins a file of one kind of rows.
    ///
    /// # Errors
    /// `Malformed` for a name that ends neither in .csv nor in .parquet; `Io` when it exists or
    /// cannot be written.
    pub fn begin(&mut self, kind: SeriesKind, target: &Path) -> Result<()> {
        if target.symlink_metadata().is_ok() {
            return Err(Error::io(target, std::io::ErrorKind::AlreadyExists.into())
                .with_hint("name another file for the series, or remove this one"));
        }
        let folder = match target.parent() {
            Some(folder) if folder != Path::new("") => folder,
            _ => Path::new("."),
        };
        let staged = staged_in(folder).map_err(|source| Error::io(target, source))?;
        let rows = rows_for(target, &staged, &kind.columns())?;
        self.files.push(SeriesFile { kind, target: target.to_owned(), staged, rows, count: 0 });
        Ok(())
    }

    /// Puts every file in its place and returns where, with its number of rows.
    ///
    /// # Errors
    /// `Io` when one cannot be finished.
    pub fn finish(self) -> Result<Vec<(PathBuf, u64)>> {
        let mut done = Vec::new();
        for SeriesFile { target, staged, rows, count, .. } in self.files {
            rows.close().map_err(|source| Error::io(&target, source))?;
            staged.persist_noclobber(&target).map_err(|failed| Error::io(&target, failed.error))?;
            done.push((target, count));
        }
        Ok(done)
    }

    fn row(&mut self, kind: SeriesKind, cells: impl Fn() -> Vec<Option<f64>>) -> Result<()> {
        for file in self.files.iter_mut().filter(|file| file.kind == kind) {
            file.rows.row(&cells()).map_err(|source| Error::io(&file.target, source))?;
            file.count += 1;
        }
        Ok(())
    }
}

/// A file that others may read once it stands in its place, as far as the user's mask allows.
fn staged_in(folder: &Path) -> std::io::Result<NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        builder.permissions(std::fs::Permissions::from_mode(0o666));
    }
    builder.tempfile_in(folder)
}

impl PeriodSink for SeriesFiles {
    fn period(&mut self, row: &PeriodRow) -> Result<()> {
        self.row(SeriesKind::Periods, || period_cells(row))
    }

    fn half_cycle(&mut self, half: &HalfCycle) -> Result<()> {
        self.row(SeriesKind::HalfCycles, || half_cycle_cells(half))
    }

    fn window(&mut self, window: &CycleWindow) -> Result<()> {
        self.row(SeriesKind::Windows, || window_cells(window))
    }
}

impl std::fmt::Debug for SeriesFiles {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_list().entries(self.files.iter().map(|file| &file.target)).finish()
    }
}

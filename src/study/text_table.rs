//! A table of text lines that can be continued.

use std::fs::{File, OpenOptions};
use std::io::{BufRead, BufReader, Seek, SeekFrom, Write};
use std::ops::Range;
use std::path::{Path, PathBuf};

use crate::error::{Error, Place, Result};

use super::{Columns, RowText};

/// An open table: whole circuits only, in the order of their numbers.
#[derive(Debug)]
pub(super) struct TextTable {
    file: File,
    path: PathBuf,
    /// The next circuit to write.
    pub(super) next: u64,
}

/// What a table is expected to hold.
#[derive(Clone, Copy, Debug)]
pub(super) struct TableShape<'a> {
    pub(super) columns: &'a Columns,
    pub(super) text: &'a dyn RowText,
    pub(super) circuits: &'a Range<u64>,
    pub(super) rows_per_circuit: u64,
    pub(super) with_head: bool,
}

impl TextTable {
    /// A new table, with its head when it has one.
    pub(super) fn create(path: &Path, shape: TableShape<'_>) -> Result<Self> {
        let failed = |source| Error::io(path, source);
        let mut file = File::create(path).map_err(failed)?;
        if let Some(head) = shape.head() {
            file.write_all(head.as_bytes()).map_err(failed)?;
        }
        Ok(Self { file, path: path.to_owned(), next: shape.circuits.start })
    }

    /// A table that was begun: what follows its last whole circuit is cut off.
    ///
    /// # Errors
    /// `Malformed` with the line when it is not the beginning of this table.
    pub(super) fn reopen(path: &Path, shape: TableShape<'_>) -> Result<Self> {
        let failed = |source| Error::io(path, source);
        let mut reader = BufReader::new(File::open(path).map_err(failed)?);
        let mut line = String::new();
        let mut length = 0;
        let foreign = |number: usize, expected: String, found: &str| {
            Error::malformed(expected, format!("\"{}\"", found.trim_end()))
                .at(Place::line(number))
                .in_file(path)
                .with_hint("this is not the beginning of that sweep; --replace writes it anew")
        };
        let mut lines = 0;
        if let Some(head) = shape.head() {
            reader.read_line(&mut line).map_err(failed)?;
            if line != head {
                if head.starts_with(&line) {
                    return Self::create(path, shape);
                }
                return Err(foreign(1, "the head of this table".into(), &line));
            }
            (length, lines) = (line.len() as u64, 1);
        }
        let (mut whole, mut rows, mut next) = (length, 0, shape.circuits.start);
        loop {
            line.clear();
            reader.read_line(&mut line).map_err(failed)?;
            if !line.ends_with('\n') {
                break;
            }
            lines += 1;
            if !shape.circuits.contains(&next) || shape.text.circuit(&line) != Some(next) {
                return Err(foreign(lines, format!("a row of circuit {next}"), &line));
            }
            length += line.len() as u64;
            rows += 1;
            if rows == shape.rows_per_circuit {
                (whole, rows, next) = (length, 0, next + 1);
            }
        }
        let file = OpenOptions::new().append(true).open(path).map_err(failed)?;
        file.set_len(whole).map_err(failed)?;
        Ok(Self { file, path: path.to_owned(), next })
    }

    /// Adds whole circuits.
    pub(super) fn append(&mut self, text: &str, circuits: u64) -> Result<()> {
        self.file.write_all(text.as_bytes()).map_err(|source| Error::io(&self.path, source))?;
        self.next += circuits;
        Ok(())
    }

    /// Adds another table from a byte on.
    pub(super) fn append_file(&mut self, other: &Path, from: u64) -> Result<()> {
        let failed = |source| Error::io(other, source);
        let mut file = File::open(other).map_err(failed)?;
        file.seek(SeekFrom::Start(from)).map_err(failed)?;
        std::io::copy(&mut file, &mut self.file).map_err(failed)?;
        Ok(())
    }
}

impl TableShape<'_> {
    pub(super) fn head(&self) -> Option<String> {
        self.text.head(self.columns).filter(|_| self.with_head)
    }
}

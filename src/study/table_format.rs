use std::path::Path;

use crate::error::{Error, Result};

use super::{CsvText, JsonLinesText, RowText};

/// How a table is kept on disk.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TableFormat {
    /// Comma-separated values.
    Csv,
    /// One JSON object on every line.
    JsonLines,
    /// Parquet, compressed with Snappy.
    Parquet,
}

impl TableFormat {
    /// The format a file's ending asks for.
    ///
    /// # Errors
    /// `Malformed` for another ending.
    pub fn of(file: &Path) -> Result<Self> {
        match file.extension().and_then(|ending| ending.to_str()) {
            Some("csv") => Ok(Self::Csv),
            Some("jsonl") => Ok(Self::JsonLines),
            Some("parquet") => Ok(Self::Parquet),
            _ => Err(Error::malformed(
                "a file ending in .csv, .jsonl or .parquet",
                format!("\"{}\"", file.display()),
            )),
        }
    }

    /// How its rows are written while they come: those of a Parquet file wait as text, because its
    /// end cannot be reopened.
    pub(super) fn text(self) -> &'static dyn RowText {
        match self {
            Self::Csv | Self::Parquet => &CsvText,
            Self::JsonLines => &JsonLinesText,
        }
    }
}

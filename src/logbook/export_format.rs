use std::path::Path;

use crate::error::{Error, Result};

/// How a logbook is written out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ExportFormat {
    /// Every entry as one JSON object to the line; complete, can be imported.
    JsonLines,
    /// Every entry as a row with its JSON in one cell; complete, can be imported.
    Csv,
}

impl ExportFormat {
    /// By the ending of a file's name.
    ///
    /// # Errors
    /// `Malformed` when it is neither `.jsonl` nor `.csv`.
    pub fn of(file: &Path) -> Result<Self> {
        match file.extension().map(|end| end.to_ascii_lowercase()) {
            Some(end) if end == "jsonl" => Ok(Self::JsonLines),
            Some(end) if end == "csv" => Ok(Self::Csv),
            _ => Err(Error::malformed(
                "a file that ends in .jsonl or .csv",
                format!("\"{}\"", file.display()),
            )),
        }
    }
}

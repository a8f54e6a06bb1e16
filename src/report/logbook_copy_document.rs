use std::path::Path;

use schemars::JsonSchema;
use serde::Serialize;

use crate::logbook::{Head, Logbook};

use super::Document;
use super::logbook_parts::HeadPart;
use super::survey_document::program;

/// A logbook written out, taken in or copied.
#[derive(Debug, Serialize, JsonSchema)]
pub struct LogbookCopyDocument {
    /// Format number.
    pub format: u32,
    /// Program and version that wrote it.
    pub program: String,
    /// The logbook.
    pub logbook: String,
    /// `export`, `export-readings`, `import` or `backup`.
    pub action: &'static str,
    /// The other file.
    pub file: String,
    /// The last entry of the copy; `null` for a table of readings and for an empty logbook.
    pub head: Option<HeadPart>,
    /// How many readings a table of readings holds.
    pub readings: Option<u64>,
}

impl LogbookCopyDocument {
    /// A copy with this last entry.
    #[must_use]
    pub fn new(logbook: &Logbook, action: &'static str, file: &Path, head: Option<&Head>) -> Self {
        Self {
            format: Document::FORMAT,
            program: program(),
            logbook: logbook.path().display().to_string(),
            action,
            file: file.display().to_string(),
            head: head.map(HeadPart::from),
            readings: None,
        }
    }

    /// A table of so many readings.
    #[must_use]
    pub fn of_readings(logbook: &Logbook, file: &Path, readings: u64) -> Self {
        let copy = Self::new(logbook, "export-readings", file, None);
        Self { readings: Some(readings), ..copy }
    }
}

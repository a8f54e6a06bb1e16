use schemars::JsonSchema;
use serde::Serialize;

use crate::error::Result;
use crate::logbook::Logbook;
use crate::procedure::LoggedEntry;

use super::Document;
use super::logbook_parts::EntryPart;
use super::survey_document::program;

/// One entry of a logbook.
#[derive(Debug, Serialize, JsonSchema)]
pub struct EntryDocument {
    /// Format number.
    pub format: u32,
    /// Program and version that wrote it.
    pub program: String,
    /// The logbook.
    pub logbook: String,
    /// Whether the logbook was begun with it.
    pub is_new_logbook: bool,
    /// The entry.
    pub entry: EntryPart,
}

impl EntryDocument {
    /// An entry that was just written.
    #[must_use]
    pub fn written(logbook: &Logbook, is_new_logbook: bool, logged: &LoggedEntry) -> Self {
        Self {
            format: Document::FORMAT,
            program: program(),
            logbook: logbook.path().display().to_string(),
            is_new_logbook,
            entry: EntryPart::new(logged, None),
        }
    }

    /// An entry that stands in the logbook.
    ///
    /// # Errors
    /// As [`Logbook::entry`].
    pub fn of(logbook: &Logbook, number: u64) -> Result<Self> {
        let replaced_by = logbook.replaced_by(number)?;
        let mut document = Self::written(logbook, false, &logbook.entry(number)?);
        document.entry.replaced_by = replaced_by;
        Ok(document)
    }
}

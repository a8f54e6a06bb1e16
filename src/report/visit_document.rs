use schemars::JsonSchema;
use serde::Serialize;

use crate::error::{Error, Result};
use crate::logbook::Logbook;

use super::Document;
use super::logbook_parts::{EntryPart, VisitRowPart, visit_entries};
use super::survey_document::program;

/// One visit with all its entries.
#[derive(Debug, Serialize, JsonSchema)]
pub struct VisitDocument {
    /// Format number.
    pub format: u32,
    /// Program and version that wrote it.
    pub program: String,
    /// The logbook.
    pub logbook: String,
    /// The visit.
    pub visit: VisitRowPart,
    /// Its entries in the order they were written, replaced ones too.
    pub entries: Vec<EntryPart>,
}

impl VisitDocument {
    /// A visit.
    ///
    /// # Errors
    /// As [`Logbook::visit`].
    pub fn of(logbook: &Logbook, number: u64) -> Result<Self> {
        let entries = visit_entries(logbook, number)?;
        let row = logbook
            .visit_row(number)?
            .ok_or_else(|| Error::inconsistent(format!("there is no visit {number}")))?;
        Ok(Self {
            format: Document::FORMAT,
            program: program(),
            logbook: logbook.path().display().to_string(),
            visit: VisitRowPart::from(&row),
            entries,
        })
    }
}

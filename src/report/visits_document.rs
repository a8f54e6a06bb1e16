use schemars::JsonSchema;
use serde::Serialize;

use crate::logbook::{Logbook, VisitRow};

use super::Document;
use super::logbook_parts::VisitRowPart;
use super::survey_document::program;

/// Visits of a logbook.
#[derive(Debug, Serialize, JsonSchema)]
pub struct VisitsDocument {
    /// Format number.
    pub format: u32,
    /// Program and version that wrote it.
    pub program: String,
    /// The logbook.
    pub logbook: String,
    /// The visits, the oldest first.
    pub visits: Vec<VisitRowPart>,
}

impl VisitsDocument {
    /// These visits.
    #[must_use]
    pub fn new(logbook: &Logbook, rows: &[VisitRow]) -> Self {
        Self {
            format: Document::FORMAT,
            program: program(),
            logbook: logbook.path().display().to_string(),
            visits: rows.iter().map(VisitRowPart::from).collect(),
        }
    }
}

use schemars::JsonSchema;
use serde::Serialize;

use crate::logbook::{Logbook, Recomputation};

use super::Document;
use super::survey_document::program;

/// What judging every reading again came to.
#[derive(Debug, Serialize, JsonSchema)]
pub struct RecomputationDocument {
    /// Format number.
    pub format: u32,
    /// Program and version that judged again.
    pub program: String,
    /// The logbook.
    pub logbook: String,
    /// Whether everything comes out as it stands.
    pub holds: bool,
    /// How many readings come out as they were judged.
    pub same: u64,
    /// How many were never judged.
    pub unjudged: u64,
    /// What comes out otherwise.
    pub differing: Vec<DifferingPart>,
    /// Visits that can no longer be worked with.
    pub failed: Vec<FailedVisitPart>,
}

/// One value of a judgement that comes out otherwise than it stands.
#[derive(Debug, Serialize, JsonSchema)]
pub struct DifferingPart {
    /// The visit.
    pub visit: u64,
    /// The reading's entry.
    pub entry: u64,
    /// The program that judged it then.
    pub program: String,
    /// The field of the judgement.
    pub field: String,
    /// What stands in the logbook, as JSON.
    pub stored: Option<String>,
    /// What comes out now, as JSON.
    pub now: Option<String>,
}

/// A visit whose opening can no longer be worked with.
#[derive(Debug, Serialize, JsonSchema)]
pub struct FailedVisitPart {
    /// The visit.
    pub visit: u64,
    /// Why.
    pub reason: String,
}

impl RecomputationDocument {
    /// What was found in a logbook.
    #[must_use]
    pub fn new(logbook: &Logbook, found: &Recomputation) -> Self {
        Self {
            format: Document::FORMAT,
            program: program(),
            logbook: logbook.path().display().to_string(),
            holds: found.holds(),
            same: found.same,
            unjudged: found.unjudged,
            differing: found
                .differing
                .iter()
                .map(|differing| DifferingPart {
                    visit: differing.visit,
                    entry: differing.entry,
                    program: differing.program.clone(),
                    field: differing.field.clone(),
                    stored: differing.stored.clone(),
                    now: differing.now.clone(),
                })
                .collect(),
            failed: found
                .failed
                .iter()
                .map(|(visit, reason)| FailedVisitPart { visit: *visit, reason: reason.clone() })
                .collect(),
        }
    }
}

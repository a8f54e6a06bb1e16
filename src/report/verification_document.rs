use schemars::JsonSchema;
use serde::Serialize;

use crate::logbook::{Logbook, Verification};

use super::Document;
use super::logbook_parts::HeadPart;
use super::survey_document::program;

/// What looking through a whole logbook found.
#[derive(Debug, Serialize, JsonSchema)]
pub struct VerificationDocument {
    /// Format number.
    pub format: u32,
    /// Program and version that wrote it.
    pub program: String,
    /// The logbook.
    pub logbook: String,
    /// Whether everything is as it was written.
    pub holds: bool,
    /// How many entries fit, from the first on.
    pub entries: u64,
    /// The last of them.
    pub head: Option<HeadPart>,
    /// How many entries follow the one whose hash was given.
    pub since_head: Option<u64>,
    /// What does not fit; of the chain only the first.
    pub misfits: Vec<MisfitPart>,
}

/// Something in a logbook that is not as it was written.
#[derive(Debug, Serialize, JsonSchema)]
pub struct MisfitPart {
    /// The entry it concerns.
    pub entry: Option<u64>,
    /// Stable short name: `file`, `chain`, `head`, `guards` or `lists`.
    pub code: &'static str,
    /// One sentence.
    pub text: String,
}

impl VerificationDocument {
    /// What was found in a logbook.
    #[must_use]
    pub fn new(logbook: &Logbook, found: &Verification) -> Self {
        Self {
            format: Document::FORMAT,
            program: program(),
            logbook: logbook.path().display().to_string(),
            holds: found.holds(),
            entries: found.entries,
            head: found.head.as_ref().map(HeadPart::from),
            since_head: found.since_head,
            misfits: found
                .misfits
                .iter()
                .map(|misfit| MisfitPart {
                    entry: misfit.number,
                    code: misfit.code,
                    text: misfit.text.clone(),
                })
                .collect(),
        }
    }
}

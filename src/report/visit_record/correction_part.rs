use schemars::JsonSchema;
use serde::Serialize;

use crate::procedure::Visit;

use super::entry_words::entry_words;

/// An entry that took the place of another.
#[derive(Debug, Serialize, JsonSchema)]
pub struct CorrectionPart {
    /// Number of the entry that counts no more.
    pub replaced: u64,
    /// What it said.
    pub was: String,
    /// Number of the entry in its place.
    pub entry: u64,
    /// What that one says.
    pub is: String,
    /// When it was replaced, UTC.
    pub at: String,
    /// By whom.
    pub by: String,
}

impl CorrectionPart {
    pub(super) fn all(visit: &Visit) -> Vec<Self> {
        let entries = visit.entries();
        let corrections = entries.iter().filter_map(|logged| {
            let old = entries.iter().find(|old| Some(old.number) == logged.replaces)?;
            Some(Self {
                replaced: old.number,
                was: entry_words(&old.entry),
                entry: logged.number,
                is: entry_words(&logged.entry),
                at: logged.at.to_string(),
                by: logged.by.clone(),
            })
        });
        corrections.collect()
    }
}

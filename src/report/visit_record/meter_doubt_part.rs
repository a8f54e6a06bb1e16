use schemars::JsonSchema;
use serde::Serialize;

use crate::error::Result;
use crate::procedure::Visit;
use crate::procedure::entry::MeterDoubt;
use crate::procedure::history::AffectedReading;
use crate::report::percent;

/// A doubt about the meter of a visit, entered after it or before.
#[derive(Debug, Serialize, JsonSchema)]
pub struct MeterDoubtPart {
    /// Number of the entry.
    pub entry: u64,
    /// First day in question.
    pub from: String,
    /// Last day in question.
    pub until: String,
    /// What the meter showed too much, as a ratio of the true value.
    pub error_ratio: f64,
    /// How that was found.
    pub reason: String,
    /// How many readings of the visit it touches.
    pub readings: usize,
    /// How many of them were taken to lie in their band and did not.
    pub wrongly_accepted: usize,
    /// The same in one sentence.
    pub words: String,
}

impl MeterDoubtPart {
    /// The doubts among these, by their entries, that touch a visit.
    pub(super) fn all(visit: &Visit, doubts: &[(u64, MeterDoubt)]) -> Result<Vec<Self>> {
        let mut parts = Vec::new();
        for (entry, doubt) in doubts {
            let affected = AffectedReading::all(std::slice::from_ref(visit), doubt)?;
            if affected.is_empty() {
                continue;
            }
            let wrong = affected.iter().filter(|one| one.was_wrongly_accepted() == Some(true));
            let wrongly_accepted = wrong.count();
            parts.push(Self {
                entry: *entry,
                from: doubt.from.to_string(),
                until: doubt.until.to_string(),
                error_ratio: doubt.error_ratio,
                reason: doubt.reason.clone(),
                readings: affected.len(),
                wrongly_accepted,
                words: format!(
                    "{} showed {} from {} to {}: {}. {} of the {} readings here were taken to lie in \
                     their band and did not (entry {entry})",
                    doubt.meter,
                    percent(doubt.error_ratio),
                    doubt.from,
                    doubt.until,
                    doubt.reason,
                    wrongly_accepted,
                    affected.len()
                ),
            });
        }
        Ok(parts)
    }
}

use std::path::Path;

use schemars::JsonSchema;
use serde::Serialize;

use crate::error::{Error, Result};
use crate::logbook::{Head, Logbook, Recomputation, Verification, VisitRow};
use crate::procedure::LoggedEntry;

use super::Document;
use super::logbook_parts::{EntryPart, HeadPart, VisitRowPart, visit_entries};
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

/// What a logbook knows of regulators, circuits and meters.
#[derive(Debug, Serialize, JsonSchema)]
pub struct EquipmentDocument {
    /// Format number.
    pub format: u32,
    /// Program and version that wrote it.
    pub program: String,
    /// The logbook.
    pub logbook: String,
    /// The regulators by name.
    pub regulators: Vec<KnownRegulatorPart>,
    /// The circuits by name.
    pub circuits: Vec<KnownCircuitPart>,
    /// The meters by name.
    pub meters: Vec<KnownMeterPart>,
}

/// A regulator as it is known now.
#[derive(Debug, Serialize, JsonSchema)]
pub struct KnownRegulatorPart {
    /// Its name.
    pub name: String,
    /// Where it stands.
    pub place: String,
    /// Serial number.
    pub serial: Option<String>,
    /// Anything else.
    pub remark: Option<String>,
    /// The entry that says so.
    pub entry: u64,
    /// How many visits there were.
    pub visits: usize,
    /// Day of the last one.
    pub last_visit: Option<String>,
    /// Next due day as the last closed visit says.
    pub next_due: Option<String>,
    /// The visit that is open.
    pub open_visit: Option<u64>,
}

/// A circuit as it is known now.
#[derive(Debug, Serialize, JsonSchema)]
pub struct KnownCircuitPart {
    /// Its name.
    pub name: String,
    /// The regulator that feeds it.
    pub regulator: String,
    /// What it lights.
    pub lights: String,
    /// The entry that says so.
    pub entry: u64,
}

/// A meter as it is known now.
#[derive(Debug, Serialize, JsonSchema)]
pub struct KnownMeterPart {
    /// Its name.
    pub name: String,
    /// Serial number.
    pub serial: Option<String>,
    /// The entry that says so.
    pub entry: u64,
    /// Its certificates by day.
    pub certificates: Vec<KnownCertificatePart>,
}

/// A certificate of a meter.
#[derive(Debug, Serialize, JsonSchema)]
pub struct KnownCertificatePart {
    /// Its number.
    pub number: String,
    /// Day of the calibration.
    pub date: String,
    /// Last day on which it counts.
    pub due: Option<String>,
    /// Expanded uncertainty as a ratio of the reading.
    pub expanded_ratio: f64,
    /// Its coverage factor.
    pub coverage_factor: f64,
    /// The entry that says so.
    pub entry: u64,
}

impl EquipmentDocument {
    /// Everything the logbook knows now.
    ///
    /// # Errors
    /// As [`Logbook::regulators`].
    pub fn of(logbook: &Logbook) -> Result<Self> {
        let regulator = |filed: crate::logbook::Filed<crate::procedure::entry::RegulatorCard>| {
            let visits = logbook.visits_of(&filed.card.name)?;
            Ok(KnownRegulatorPart {
                place: filed.card.place,
                serial: filed.card.serial,
                remark: filed.card.remark,
                entry: filed.number,
                visits: visits.len(),
                last_visit: visits.iter().map(|row| row.day).max().map(|day| day.to_string()),
                next_due: visits
                    .iter()
                    .rev()
                    .find_map(|row| row.next_due)
                    .map(|day| day.to_string()),
                open_visit: logbook.open_visit(&filed.card.name)?,
                name: filed.card.name,
            })
        };
        let meter = |filed: crate::logbook::Filed<crate::procedure::entry::MeterCard>| {
            let certificates = logbook.certificates(&filed.card.name)?;
            Ok(KnownMeterPart {
                name: filed.card.name,
                serial: filed.card.serial,
                entry: filed.number,
                certificates: certificates
                    .into_iter()
                    .map(|filed| KnownCertificatePart {
                        number: filed.card.number,
                        date: filed.card.date.to_string(),
                        due: filed.card.due.map(|day| day.to_string()),
                        expanded_ratio: filed.card.expanded_ratio,
                        coverage_factor: filed.card.coverage_factor,
                        entry: filed.number,
                    })
                    .collect(),
            })
        };
        Ok(Self {
            format: Document::FORMAT,
            program: program(),
            logbook: logbook.path().display().to_string(),
            regulators: logbook.regulators()?.into_iter().map(regulator).collect::<Result<_>>()?,
            circuits: logbook
                .circuits()?
                .into_iter()
                .map(|filed| KnownCircuitPart {
                    name: filed.card.name,
                    regulator: filed.card.regulator,
                    lights: filed.card.lights,
                    entry: filed.number,
                })
                .collect(),
            meters: logbook.meters()?.into_iter().map(meter).collect::<Result<_>>()?,
        })
    }
}

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

use schemars::JsonSchema;
use serde::Serialize;

use crate::error::Result;
use crate::logbook::{Filed, Logbook};
use crate::procedure::entry::{MeterCard, RegulatorCard};

use super::Document;
use super::survey_document::program;

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
    /// Over which days it was found wrong.
    pub doubts: Vec<KnownDoubtPart>,
}

/// A meter found wrong over a time.
#[derive(Debug, Serialize, JsonSchema)]
pub struct KnownDoubtPart {
    /// First day in question.
    pub from: String,
    /// Last day in question.
    pub until: String,
    /// What it showed too much, as a ratio of the true value.
    pub error_ratio: f64,
    /// How that was found.
    pub reason: String,
    /// The entry that says so.
    pub entry: u64,
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
        let regulator = |filed: Filed<RegulatorCard>| {
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
        let meter = |filed: Filed<MeterCard>| {
            let certificates = logbook.certificates(&filed.card.name)?;
            let doubts = logbook.doubts(&filed.card.name)?;
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
                doubts: doubts
                    .into_iter()
                    .map(|filed| KnownDoubtPart {
                        from: filed.card.from.to_string(),
                        until: filed.card.until.to_string(),
                        error_ratio: filed.card.error_ratio,
                        reason: filed.card.reason,
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

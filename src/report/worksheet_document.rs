use schemars::JsonSchema;
use serde::Serialize;

use crate::assess::instrument::{Connection, StepCurrents, Verdict};
use crate::procedure::ProtectionTerms;
use crate::procedure::plan::{Item, ItemKind};

use super::survey_document::program;
use super::worksheet::Worksheet;
use super::{CAUTIONS, Document, StepPart, VerdictPart};

/// The worksheets of several regulators, as numbers.
#[derive(Debug, Serialize, JsonSchema)]
pub struct WorksheetDocument {
    /// Format number.
    pub format: u32,
    /// Program and version that wrote it.
    pub program: String,
    /// One for each regulator.
    pub worksheets: Vec<WorksheetPart>,
    /// Before anyone goes to the regulator.
    pub cautions: Vec<&'static str>,
}

/// One regulator's worksheet.
#[derive(Debug, Serialize, JsonSchema)]
pub struct WorksheetPart {
    /// Title of the description.
    pub title: String,
    /// Whether place, equipment and numbers are made up.
    pub invented: bool,
    /// The meter.
    pub meter: String,
    /// What it is made for; `null` where its sheet does not say.
    pub made_for: Option<String>,
    /// Largest voltage of the loop, field connected; `null` where nobody knows it.
    pub loop_rms_v: Option<f64>,
    /// Probability with which the true current must lie in its band.
    pub conformance_probability: f64,
    /// Sides of the paper it takes.
    pub sides: usize,
    /// Step by step, the brightest first.
    pub steps: Vec<WorksheetStepPart>,
    /// What is ticked, answered, read and tried, in order.
    pub items: Vec<WorksheetItemPart>,
}

/// A step of a worksheet.
#[derive(Debug, Serialize, JsonSchema)]
pub struct WorksheetStepPart {
    /// The step.
    #[serde(flatten)]
    pub step: StepPart,
    /// The verdict with the output shorted; `null` where no current is known.
    pub shorted: Option<VerdictPart>,
    /// The verdict with the field connected.
    pub field: Option<VerdictPart>,
}

/// One line of a worksheet.
#[derive(Debug, Serialize, JsonSchema)]
pub struct WorksheetItemPart {
    /// Key of the stage.
    pub stage: String,
    /// Key of the item.
    pub item: String,
    /// `confirm`, `ask`, `read`, `prove` or `close`.
    pub item_kind: &'static str,
    /// What stands on the paper.
    pub text: String,
    /// Set-point of a protection, true RMS; `null` for other items, or where the manual says it.
    pub set_rms_a: Option<f64>,
    /// Shortest time in which it may act.
    pub shortest_s: Option<f64>,
    /// Longest time.
    pub longest_s: Option<f64>,
    /// Where these come from.
    pub limits_source: Option<String>,
}

impl WorksheetDocument {
    /// The numbers of the worksheets; `sides` says how many sides of paper each takes.
    #[must_use]
    pub fn new(worksheets: &[Worksheet<'_>], sides: &[usize]) -> Self {
        let parts = worksheets.iter().zip(sides);
        Self {
            format: Document::FORMAT,
            program: program(),
            worksheets: parts.map(|(sheet, sides)| WorksheetPart::new(sheet, *sides)).collect(),
            cautions: CAUTIONS.to_vec(),
        }
    }
}

impl WorksheetPart {
    fn new(worksheet: &Worksheet<'_>, sides: usize) -> Self {
        let description = worksheet.description;
        let verdict = |step: u32, connection: Connection| {
            let is_it = |verdict: &&Verdict| {
                verdict.step.number == step && verdict.connection == connection
            };
            worksheet.verdicts.iter().find(is_it).map(VerdictPart::from)
        };
        let items = worksheet.procedure.items();
        let sheet = worksheet.meter.sheet.as_ref();
        Self {
            title: description.title.clone(),
            invented: description.is_invented,
            meter: worksheet.meter.name.clone(),
            made_for: sheet.and_then(|sheet| Some(sheet.category.as_ref()?.words())),
            loop_rms_v: worksheet
                .currents
                .iter()
                .filter_map(StepCurrents::loop_rms_v)
                .reduce(f64::max),
            conformance_probability: worksheet.terms.conformance_probability,
            sides,
            steps: description
                .steps
                .steps()
                .iter()
                .map(|step| WorksheetStepPart {
                    step: step.into(),
                    shorted: verdict(step.number, Connection::Shorted),
                    field: verdict(step.number, Connection::Loaded),
                })
                .collect(),
            items: items
                .map(|(stage, item)| WorksheetItemPart::new(worksheet, &stage.key, item))
                .collect(),
        }
    }
}

impl WorksheetItemPart {
    fn new(worksheet: &Worksheet<'_>, stage: &str, item: &Item) -> Self {
        let terms = match item.kind {
            ItemKind::Prove { .. } => ProtectionTerms::of(&item.kind, worksheet.description),
            _ => None,
        };
        let terms = terms.unwrap_or_default();
        Self {
            stage: stage.to_owned(),
            item: item.key.clone(),
            item_kind: item.kind.key(),
            text: super::worksheet::with_cautions(item),
            set_rms_a: terms.set_rms_a,
            shortest_s: terms.shortest_s,
            longest_s: terms.longest_s,
            limits_source: terms.source,
        }
    }
}

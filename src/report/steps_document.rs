use schemars::JsonSchema;
use serde::Serialize;

use crate::regulator::{BandSet, CircuitClass, StepTable};

use super::survey_document::program;
use super::{Document, StepPart};

/// The step tables the program knows.
#[derive(Debug, Serialize, JsonSchema)]
pub struct StepsDocument {
    /// Format number.
    pub format: u32,
    /// Program and version that wrote it.
    pub program: String,
    /// Every combination of circuit and band set that has been read or is remembered.
    pub tables: Vec<StepTablePart>,
}

/// One step table.
#[derive(Debug, Serialize, JsonSchema)]
pub struct StepTablePart {
    /// Key of the circuit.
    pub circuit: &'static str,
    /// Key of the band set.
    pub bands: &'static str,
    /// Whether this set is taken for the circuit when none is named.
    pub is_default: bool,
    /// The steps, the brightest first.
    pub steps: Vec<StepPart>,
}

impl StepsDocument {
    /// The published tables, those of one circuit only when asked.
    #[must_use]
    pub fn new(only: Option<CircuitClass>) -> Self {
        let mut tables = Vec::new();
        for class in
            CircuitClass::ALL.into_iter().filter(|class| only.is_none_or(|it| it == *class))
        {
            for set in BandSet::ALL {
                // A combination nobody has read is simply not listed.
                if let Ok(table) = StepTable::published(class, set) {
                    tables.push(StepTablePart {
                        circuit: class.key(),
                        bands: set.key(),
                        is_default: set == BandSet::default_for(class),
                        steps: table.steps().iter().map(StepPart::from).collect(),
                    });
                }
            }
        }
        Self { format: Document::FORMAT, program: program(), tables }
    }
}

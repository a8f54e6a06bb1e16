use schemars::JsonSchema;
use serde::Serialize;

use crate::assess::instrument::{Comparison, Suitability, Terms};
use crate::error::Note;

use super::fitness_document::TermsPart;
use super::survey_document::program;
use super::{Document, NotePart};

/// Many meters at many steps of many circuits.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ComparisonDocument {
    /// Format number.
    pub format: u32,
    /// Program and version that wrote it.
    pub program: String,
    /// What was asked for.
    pub terms: TermsPart,
    /// The meters, in the order of `meter` in the cells.
    pub meters: Vec<ComparedMeterPart>,
    /// Titles of the descriptions, in the order of `circuit` in the cells.
    pub circuits: Vec<String>,
    /// Circuit by circuit, step by step, meter by meter.
    pub cells: Vec<ComparisonCellPart>,
    /// What has to be said beside the result.
    pub notes: Vec<NotePart>,
}

/// A meter over everything it was judged on.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ComparedMeterPart {
    /// Its name.
    pub name: String,
    /// Its worst verdict.
    pub worst: Option<&'static str>,
}

/// One meter at one step of one circuit.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ComparisonCellPart {
    /// Place of the meter, from 0.
    pub meter: usize,
    /// Place of the circuit, from 0.
    pub circuit: usize,
    /// Number of the step.
    pub step: u32,
    /// `shorted` or `loaded`.
    pub connection: &'static str,
    /// `fit`, `fit-with-care` or `not-fit`.
    pub verdict: &'static str,
    /// Whether its voltage category forbids it there; the verdict does not count it.
    pub is_dangerous: bool,
    /// Lowest of shown over true over the possible currents.
    pub gain_low_ratio: Option<f64>,
    /// Highest of shown over true over the possible currents.
    pub gain_high_ratio: Option<f64>,
    /// Expanded uncertainty over the true current, reading dead centre.
    pub expanded_ratio: Option<f64>,
    /// Probability of conformance, reading dead centre.
    pub conformance_probability: Option<f64>,
    /// Share of the band left to set the current in.
    pub kept_ratio: Option<f64>,
}

impl ComparisonDocument {
    /// The document of a comparison.
    #[must_use]
    pub fn new(comparison: &Comparison, terms: &Terms, notes: &[Note]) -> Self {
        let meters = comparison.meters().iter().enumerate();
        let cells = comparison.cells().iter();
        Self {
            format: Document::FORMAT,
            program: program(),
            terms: terms.into(),
            meters: meters
                .map(|(place, name)| ComparedMeterPart {
                    name: name.clone(),
                    worst: comparison.worst(place).map(Suitability::key),
                })
                .collect(),
            circuits: comparison.circuits().to_vec(),
            cells: cells
                .map(|cell| ComparisonCellPart {
                    meter: cell.meter,
                    circuit: cell.circuit,
                    step: cell.step_number,
                    connection: cell.connection.key(),
                    verdict: cell.suitability.key(),
                    is_dangerous: cell.is_dangerous,
                    gain_low_ratio: cell.gain.map(|gain| gain.low_ratio),
                    gain_high_ratio: cell.gain.map(|gain| gain.high_ratio),
                    expanded_ratio: cell.expanded_ratio,
                    conformance_probability: cell.conformance_probability,
                    kept_ratio: cell.kept_ratio,
                })
                .collect(),
            notes: notes.iter().map(NotePart::from).collect(),
        }
    }
}

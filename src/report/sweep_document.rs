use schemars::JsonSchema;
use serde::Serialize;

use crate::description::Description;
use crate::study::{Columns, Part, SweepEnd, VariedCircuit};

use super::estimate_document::circuit_words;
use super::survey_document::program;
use super::{Document, NotePart};

/// What a sweep wrote.
#[derive(Debug, Serialize, JsonSchema)]
pub struct SweepDocument {
    /// Format number.
    pub format: u32,
    /// Program and version that wrote it.
    pub program: String,
    /// Title of the description.
    pub title: String,
    /// Whether place, equipment and numbers are made up.
    pub invented: bool,
    /// The regulator and what is connected to it, in words.
    pub circuit: String,
    /// The table.
    pub table: String,
    /// Its columns; the unit stands at the end of each name.
    pub columns: Vec<String>,
    /// Which part of the sweep it is, such as `1/1`.
    pub part: String,
    /// Circuits of this part.
    pub circuits: u64,
    /// Circuits that were in the table before.
    pub found: u64,
    /// Circuits in the table now.
    pub done: u64,
    /// Whether nothing is left to do.
    pub complete: bool,
    /// What has to be said beside the result.
    pub notes: Vec<NotePart>,
}

impl SweepDocument {
    /// The document of a sweep of a circuit.
    #[must_use]
    pub fn new(
        description: &Description,
        circuit: &VariedCircuit,
        table: String,
        columns: &Columns,
        part: Part,
        end: SweepEnd,
    ) -> Self {
        Self {
            format: Document::FORMAT,
            program: program(),
            title: description.title.clone(),
            invented: description.is_invented,
            circuit: circuit_words(description, circuit),
            table,
            columns: columns.heads().to_vec(),
            part: part.to_string(),
            circuits: end.circuits,
            found: end.found,
            done: end.done,
            complete: end.is_complete(),
            notes: circuit.notes().iter().map(NotePart::from).collect(),
        }
    }
}

use schemars::JsonSchema;
use serde::Serialize;

use super::Document;
use super::survey_document::program;

/// The figures for teaching.
#[derive(Debug, Serialize, JsonSchema)]
pub struct TrainingDocument {
    /// Format number.
    pub format: u32,
    /// Program and version that wrote it.
    pub program: String,
    /// The figures, in the order of their numbers.
    pub figures: Vec<TrainingFigurePart>,
}

/// One figure for teaching.
#[derive(Debug, Serialize, JsonSchema)]
pub struct TrainingFigurePart {
    /// Its number: T01 to T13.
    pub code: String,
    /// Its name in files and lessons.
    pub slug: String,
    /// For whom it is meant: "first", "working" or "further".
    pub level: String,
    /// What it is about.
    pub title: String,
    /// Its lesson, without numbers.
    pub lesson: String,
    /// What may be chosen about it.
    pub parameters: Vec<TrainingParameterPart>,
    /// Its caption with the numbers; absent in a mere list.
    pub caption: Option<String>,
    /// The files it was written to; none in a mere list.
    pub files: Vec<String>,
}

/// One parameter of a figure.
#[derive(Debug, Serialize, JsonSchema)]
pub struct TrainingParameterPart {
    /// Its name.
    pub key: String,
    /// What it is.
    pub words: String,
    /// The value taken.
    pub value: String,
    /// What is allowed.
    pub allowed: String,
}

impl TrainingDocument {
    /// A document of these figures.
    #[must_use]
    pub fn new(figures: Vec<TrainingFigurePart>) -> Self {
        Self { format: Document::FORMAT, program: program(), figures }
    }
}

use schemars::JsonSchema;
use serde::Serialize;

/// A set of exercise sheets: what the trainees get, without answers.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ExercisesDocument {
    /// Format number.
    pub format: u32,
    /// Program and version that wrote it.
    pub program: String,
    /// Places, equipment and numbers are made up: always true.
    pub invented: bool,
    /// Name of the set: level, seed, sheets by questions.
    pub set: String,
    /// Code over everything printed: a key with another code belongs to other sheets.
    pub code: String,
    /// The seed it was drawn from.
    pub seed: u64,
    /// Level of the problems.
    pub level: String,
    /// What is not repeated.
    pub without_repeats: String,
    /// The sheets.
    pub sheets: Vec<ExerciseSheetPart>,
    /// Cautions printed on every sheet.
    pub cautions: Vec<String>,
}

/// One sheet.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ExerciseSheetPart {
    /// Its number, from 1.
    pub sheet: u32,
    /// Its questions.
    pub questions: Vec<ExerciseQuestionPart>,
}

/// One question.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ExerciseQuestionPart {
    /// Its number on the sheet, from 1.
    pub question: u32,
    /// Key of its kind.
    pub problem: String,
    /// Its title.
    pub title: String,
    /// Hash of everything printed but the name of the place.
    pub fingerprint: String,
    /// Invented place and circuit.
    pub site: String,
    /// What the case is.
    pub story: String,
    /// Numbers given, as printed.
    pub givens: Vec<GivenPart>,
    /// Table given; absent when there is none.
    pub table: Option<GivenTablePart>,
    /// What is asked.
    pub ask: String,
    /// Statements to choose from, lettered from a; empty when none are offered.
    pub options: Vec<String>,
    /// Unit the answer is asked in; empty for none, absent where no number is asked for.
    pub answer_unit: Option<String>,
}

/// A number given.
#[derive(Debug, Serialize, JsonSchema)]
pub struct GivenPart {
    /// What it is.
    pub name: String,
    /// The value as printed, with its unit.
    pub value: String,
}

/// A table given, cells as printed.
#[derive(Debug, Serialize, JsonSchema)]
pub struct GivenTablePart {
    /// What it shows.
    pub caption: String,
    /// Heads of the columns, with units.
    pub columns: Vec<String>,
    /// Rows of cells.
    pub rows: Vec<Vec<String>>,
}

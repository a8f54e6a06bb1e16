use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The key to a set of exercise sheets: answers with their tolerances, and worked solutions.
#[derive(Debug, Serialize, Deserialize, JsonSchema)]
pub struct ExerciseKeyDocument {
    /// Format number.
    pub format: u32,
    /// Program and version that wrote it.
    pub program: String,
    /// Places, equipment and numbers are made up: always true.
    pub invented: bool,
    /// Name of the set: level, seed, sheets by questions.
    pub set: String,
    /// Code over everything printed on the sheets.
    pub code: String,
    /// The sheets.
    pub sheets: Vec<ExerciseKeySheetPart>,
}

/// The answers to one sheet.
#[derive(Debug, Serialize, Deserialize, JsonSchema)]
pub struct ExerciseKeySheetPart {
    /// Its number, from 1.
    pub sheet: u32,
    /// One answer for each question, in order.
    pub answers: Vec<ExerciseKeyAnswerPart>,
}

/// The answer to one question.
#[derive(Debug, Serialize, Deserialize, JsonSchema)]
pub struct ExerciseKeyAnswerPart {
    /// Number of the question, from 1.
    pub question: u32,
    /// Key of its kind.
    pub problem: String,
    /// Its title.
    pub title: String,
    /// Hash of everything printed but the name of the place.
    pub fingerprint: String,
    /// What is right.
    pub right: RightAnswerPart,
    /// The same in words.
    pub words: String,
    /// What counts as right, in words.
    pub rule: String,
    /// The way there from the numbers printed, a step at a time.
    pub solution: Vec<String>,
}

/// What is right.
#[derive(Debug, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "is", rename_all = "kebab-case")]
pub enum RightAnswerPart {
    /// A number.
    Number {
        /// The value, in the unit.
        value: f64,
        /// The unit; empty for none.
        unit: String,
        /// How far an answer may be off, in the unit.
        tolerance: f64,
        /// Decimals it is shown with.
        decimals: usize,
    },
    /// One of several statements.
    Choice {
        /// The statements.
        options: Vec<String>,
        /// Place of the right one, from 0.
        right: usize,
    },
    /// Numbers of brightness steps; none at all may be right.
    Steps {
        /// The right ones, rising.
        right: Vec<u32>,
        /// Those there are, rising.
        known: Vec<u32>,
    },
}

use schemars::JsonSchema;
use serde::Serialize;

/// Answers to exercise sheets, marked.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ExerciseMarksDocument {
    /// Format number.
    pub format: u32,
    /// Program and version that wrote it.
    pub program: String,
    /// Name of the set.
    pub set: String,
    /// Code of the set.
    pub code: String,
    /// The sheets that were answered, in order.
    pub sheets: Vec<ExerciseSheetMarksPart>,
    /// Right answers on all of them.
    pub right: usize,
    /// Wrong answers on all of them.
    pub wrong: usize,
    /// Questions nobody answered on them.
    pub not_answered: usize,
    /// Answers on them that cannot be read; a person has to look.
    pub unreadable: usize,
}

/// The marks of one sheet.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ExerciseSheetMarksPart {
    /// Its number.
    pub sheet: u32,
    /// Right answers.
    pub right: usize,
    /// Wrong answers.
    pub wrong: usize,
    /// Questions not answered.
    pub not_answered: usize,
    /// Answers that cannot be read.
    pub unreadable: usize,
    /// Every question, in order.
    pub marks: Vec<ExerciseMarkPart>,
}

/// The mark of one question.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ExerciseMarkPart {
    /// Its number.
    pub question: u32,
    /// Its title.
    pub title: String,
    /// "right", "wrong", "not-answered" or "unreadable".
    pub mark: &'static str,
    /// What was answered, letter for letter; absent where nothing was.
    pub given: Option<String>,
    /// Why.
    pub reason: String,
}

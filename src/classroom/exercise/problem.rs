use sha2::{Digest, Sha256};

use super::{Answer, Answer::Number, AnswerUnit, Level, Printed, ProblemKind};

/// A number or word a problem gives, with its name.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Given {
    /// What it is, with its letter.
    pub name: String,
    /// The value as printed, unit included.
    pub value: String,
}

/// A table a problem gives; the head of every column names its unit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct GivenTable {
    /// What it shows.
    pub caption: String,
    /// Heads of the columns.
    pub columns: Vec<String>,
    /// Rows, each with a cell for every column.
    pub rows: Vec<Vec<String>>,
}

/// One problem with its worked solution.
#[derive(Clone, Debug, PartialEq)]
pub struct Problem {
    /// What kind it is.
    pub kind: ProblemKind,
    /// Whom it is set for.
    pub level: Level,
    /// Invented place and circuit.
    pub site: String,
    /// What the case is.
    pub story: String,
    /// Numbers given.
    pub givens: Vec<Given>,
    /// Table given.
    pub table: Option<GivenTable>,
    /// The question.
    pub question: String,
    /// What is right.
    pub answer: Answer,
    /// The way there, from the numbers printed, a step at a time.
    pub solution: Vec<String>,
}

impl Problem {
    /// What tells two problems apart: a hash of everything printed but the name of the place.
    #[must_use]
    pub fn fingerprint(&self) -> String {
        let mut hash = Sha256::new();
        let mut take = |text: &str| {
            hash.update((text.len() as u64).to_le_bytes());
            hash.update(text.as_bytes());
        };
        take(self.kind.key());
        take(&self.story);
        for given in &self.givens {
            take(&given.name);
            take(&given.value);
        }
        if let Some(table) = &self.table {
            take(&table.caption);
            table.columns.iter().chain(table.rows.iter().flatten()).for_each(|cell| take(cell));
        }
        take(&self.question);
        if let Answer::Choice { options, .. } = &self.answer {
            options.iter().for_each(|option| take(option));
        }
        hash.finalize().iter().take(8).map(|byte| format!("{byte:02x}")).collect()
    }
}

/// A given number.
pub(super) fn given(name: &str, value: &Printed) -> Given {
    Given { name: name.to_owned(), value: value.to_string() }
}

/// The answer to a question for a number: `None` unless the numbers printed lead to it.
///
/// `engine` is what the engine says of the case before anything was rounded, `by_hand` what the
/// printed numbers give. They must agree to half of the tolerance, and what the key shows to a fifth.
pub(super) fn number(
    engine: f64,
    by_hand: f64,
    unit: AnswerUnit,
    tolerance: f64,
    decimals: usize,
) -> Option<Answer> {
    let key = Printed::new(by_hand, decimals, unit.symbol()).value();
    let agrees = (engine - by_hand).abs() <= 0.5 * tolerance;
    let is_shown = (key - by_hand).abs() <= 0.25 * tolerance + 1e-12;
    (agrees && is_shown).then_some(Number { value: key, unit, tolerance, decimals })
}

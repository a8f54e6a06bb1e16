use super::Words;

/// A question with its answer.
#[derive(Clone, Debug)]
pub struct Question {
    /// Its name in the lesson.
    pub name: String,
    /// What is asked.
    pub ask: Words,
    /// What can be answered.
    pub kind: QuestionKind,
    /// Why that is the answer.
    pub why: Words,
}

/// What can be answered.
#[derive(Clone, Debug)]
pub enum QuestionKind {
    /// One of several.
    Single {
        /// What can be chosen.
        choices: Vec<Words>,
        /// Place of the right one.
        right: usize,
    },
    /// Any number of several.
    Several {
        /// What can be chosen.
        choices: Vec<Words>,
        /// Places of the right ones.
        right: Vec<usize>,
    },
    /// A number.
    Number {
        /// The right one, in the unit shown.
        answer: f64,
        /// As it is shown, with its unit.
        shown: String,
        /// The unit.
        unit: String,
        /// How far off an answer may be, in that unit.
        tolerance: f64,
    },
}

impl Question {
    /// The right answer in words.
    #[must_use]
    pub fn answer(&self) -> String {
        match &self.kind {
            QuestionKind::Single { choices, right } => choices[*right].plain.clone(),
            QuestionKind::Several { choices, right } => {
                let words: Vec<&str> = right.iter().map(|at| choices[*at].plain.as_str()).collect();
                words.join(" ")
            }
            QuestionKind::Number { shown, .. } => shown.clone(),
        }
    }
}

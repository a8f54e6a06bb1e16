use super::AnswerUnit;

/// What is asked for, and what is right.
#[derive(Clone, Debug, PartialEq)]
pub enum Answer {
    /// A number.
    Number {
        /// What is right, in the unit.
        value: f64,
        /// Its unit.
        unit: AnswerUnit,
        /// How far an answer may be off and still be right, in the unit.
        tolerance: f64,
        /// Decimals it is shown with.
        decimals: usize,
    },
    /// One of several statements, lettered from a.
    Choice {
        /// The statements.
        options: Vec<String>,
        /// Place of the right one.
        right: usize,
    },
    /// Numbers of brightness steps, rising; none at all may be right.
    Steps {
        /// The right ones.
        right: Vec<u32>,
        /// Those there are.
        known: Vec<u32>,
    },
}

impl Answer {
    /// The letter of an option.
    #[must_use]
    pub fn letter(place: usize) -> char {
        char::from(b'a' + u8::try_from(place.min(25)).unwrap_or(25))
    }

    /// The right answer in words.
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Self::Number { value, unit, decimals, .. } => unit.words(*value, *decimals),
            Self::Choice { options, right } => {
                format!("{}) {}", Self::letter(*right), options.get(*right).map_or("", |o| o))
            }
            Self::Steps { right, .. } => steps_words(right),
        }
    }

    /// The right answer as short as it goes into a table.
    #[must_use]
    pub fn short(&self) -> String {
        match self {
            Self::Choice { right, .. } => Self::letter(*right).to_string(),
            Self::Steps { right, .. } if right.is_empty() => "none".into(),
            Self::Steps { right, .. } => {
                right.iter().map(u32::to_string).collect::<Vec<_>>().join(", ")
            }
            Self::Number { .. } => self.words(),
        }
    }

    /// What counts as right, in words.
    #[must_use]
    pub fn rule(&self) -> String {
        match self {
            Self::Number { value, unit, tolerance, decimals } => {
                let (low, high) = (value - tolerance, value + tolerance);
                // One more digit, so that the edges are those that are checked.
                format!(
                    "right from {} to {}",
                    unit.words(low, decimals + 1),
                    unit.words(high, decimals + 1)
                )
            }
            Self::Choice { .. } => "right is that letter alone".into(),
            Self::Steps { .. } => "right are these steps and no other".into(),
        }
    }
}

/// "steps 1 and 3", "step 2", "none".
pub(super) fn steps_words(steps: &[u32]) -> String {
    let names: Vec<String> = steps.iter().map(u32::to_string).collect();
    match names.as_slice() {
        [] => "none".into(),
        [one] => format!("step {one}"),
        [first @ .., last] => format!("steps {} and {last}", first.join(", ")),
    }
}

use serde::{Deserialize, Serialize};

use crate::assess::instrument::Suitability;
use crate::units::{parse_number, span_decimals};

use super::{Judgement, Moment, Output, ReadingDoubt};

/// A number read from the meter at a step.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ReadingTaken {
    /// Number of the brightness step.
    pub step: u32,
    /// Before or after adjusting.
    pub moment: Moment,
    /// What the output was connected to.
    pub output: Output,
    /// What was typed, letter for letter.
    pub typed: String,
    /// The number on the display, in amperes.
    pub shown_a: f64,
    /// What it was judged to mean.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub judgement: Option<Judgement>,
    /// What was doubtful about it and kept all the same.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub doubts: Vec<ReadingDoubt>,
}

impl ReadingTaken {
    /// The number with its unit, in the digits that were typed.
    #[must_use]
    pub fn shown_words(&self) -> String {
        match parse_number(&self.typed) {
            Some(_) => format!("{} A", self.typed),
            None => self.typed.clone(),
        }
    }

    /// Why it is not accepted; `None` where it is.
    #[must_use]
    pub fn why_not_accepted(&self) -> Option<String> {
        if self.is_accepted() {
            return None;
        }
        let Some(judged) = &self.judgement else { return Some("it was not judged".to_owned()) };
        let set_band = judged.set_low_a.zip(judged.set_high_a);
        Some(match set_band {
            Some((low_a, high_a)) if judged.suitability != Suitability::NotFit.key() => {
                let (low, high) = span_decimals(low_a, high_a);
                format!("the meter must show {low} to {high} A")
            }
            // The verdict on the meter says why.
            _ if !judged.verdict.is_empty() => judged.verdict.clone(),
            _ => "no number on this meter proves the band".to_owned(),
        })
    }

    /// Whether the number lies in the set-band of a meter that may set this step.
    #[must_use]
    pub fn is_accepted(&self) -> bool {
        self.judgement.as_ref().is_some_and(|judgement| judgement.accepts(self.shown_a))
    }
}

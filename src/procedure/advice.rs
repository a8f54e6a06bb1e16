use crate::units::span_decimals;

use super::entry::{Moment, Output, ReadingTaken};

/// What to do after a reading.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Advice {
    /// Nothing: the number is where it must be.
    Leave,
    /// Turn the step's adjuster up.
    TurnUp,
    /// Turn it down.
    TurnDown,
    /// Find the reason of a difference; adjust nothing.
    Explain,
    /// Nothing can be decided with this meter here.
    OtherMeter,
}

impl Advice {
    /// What a reading asks for.
    #[must_use]
    pub fn after(reading: &ReadingTaken) -> Self {
        if reading.is_accepted() {
            return Self::Leave;
        }
        let Some(judgement) = &reading.judgement else { return Self::OtherMeter };
        let set_band = judgement.set_low_a.zip(judgement.set_high_a);
        match set_band {
            Some((low_a, high_a)) if !judgement.accepts(low_a) && !judgement.accepts(high_a) => {
                Self::OtherMeter
            }
            None => Self::OtherMeter,
            Some(_) if reading.output == Output::Field => Self::Explain,
            Some((low_a, _)) if reading.shown_a < low_a => Self::TurnUp,
            Some(_) => Self::TurnDown,
        }
    }

    /// The sentence for the person at the regulator.
    #[must_use]
    pub fn sentence(self, reading: &ReadingTaken) -> String {
        let step = reading.step;
        let judgement = reading.judgement.as_ref();
        let between = judgement
            .and_then(|judgement| judgement.set_low_a.zip(judgement.set_high_a))
            .map(|(low_a, high_a)| {
                let (low, high) = span_decimals(low_a, high_a);
                if low_a < high_a {
                    format!("between {low} and {high} A")
                } else {
                    format!("{low} A")
                }
            })
            .unwrap_or_default();
        match self {
            Self::Leave if reading.moment == Moment::AsFound => format!(
                "Leave step {step} alone: {} is right, the meter may show {between}.",
                reading.shown_words()
            ),
            Self::Leave => format!("Step {step} is right: the meter may show {between}."),
            Self::TurnUp => {
                format!("Turn the step-{step} adjuster UP until the meter shows {between}.")
            }
            Self::TurnDown => {
                format!("Turn the step-{step} adjuster DOWN until the meter shows {between}.")
            }
            Self::Explain => format!(
                "Step {step} is outside: the meter must show {between} with the field connected. \
                 Adjust nothing; find out why and read again."
            ),
            Self::OtherMeter => format!(
                "Do not adjust step {step} by this meter: {}.",
                judgement.map_or("nothing is known of it", |judgement| judgement.verdict.as_str())
            ),
        }
    }
}

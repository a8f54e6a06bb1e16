use crate::procedure::entry::{Moment, Output, ReadingTaken};
use crate::procedure::{Bench, Visit};

/// A step as a visit left it: the reading that stands at its end.
#[derive(Clone, Debug, PartialEq)]
pub struct LeftStep {
    /// Number of the brightness step.
    pub step: u32,
    /// What the output was connected to.
    pub output: Output,
    /// The number on the display, with its unit.
    pub shown: String,
    /// Whether it was accepted.
    pub is_accepted: bool,
    /// Whether the best estimate of the true current lies outside the band; `false` where there is
    /// none.
    pub is_outside: bool,
}

impl LeftStep {
    /// Every step that was read and judged, as left, or as found where nothing was read after that; an
    /// output of which no current is known is not judged and left out.
    #[must_use]
    pub fn all(visit: &Visit) -> Vec<Self> {
        let mut left: Vec<Self> = Vec::new();
        for (_, reading) in visit.readings() {
            let (step, output) = (reading.step, reading.output);
            if left.iter().any(|known| (known.step, known.output) == (step, output)) {
                continue;
            }
            let stands = visit
                .reading(step, Moment::AsLeft, output)
                .or_else(|| visit.reading(step, Moment::AsFound, output));
            left.extend(stands.and_then(Self::of));
        }
        left.sort_by_key(|left| (left.output, std::cmp::Reverse(left.step)));
        left
    }

    fn of(reading: &ReadingTaken) -> Option<Self> {
        let judged = reading.judgement.as_ref()?;
        if judged.suitability == Bench::NOT_JUDGED {
            return None;
        }
        Some(Self {
            step: reading.step,
            output: reading.output,
            shown: reading.shown_words(),
            is_accepted: reading.is_accepted(),
            is_outside: judged
                .true_rms_a
                .is_some_and(|true_rms_a| true_rms_a < judged.low_a || true_rms_a > judged.high_a),
        })
    }
}

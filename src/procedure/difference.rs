use super::Visit;
use super::entry::{Moment, Output, ReadingTaken};

/// A step as it was read last with the output shorted, beside the same step with the field connected.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Difference<'a> {
    /// Number of the step.
    pub step: u32,
    /// The reading with the output shorted.
    pub shorted: &'a ReadingTaken,
    /// The reading with the field connected.
    pub field: &'a ReadingTaken,
}

impl<'a> Difference<'a> {
    /// Every step that was read both ways, in this order: as left, or as found where nothing was read
    /// after that.
    #[must_use]
    pub fn all(visit: &'a Visit, steps: impl IntoIterator<Item = u32>) -> Vec<Self> {
        let last = |step: u32, output: Output| {
            visit
                .reading(step, Moment::AsLeft, output)
                .or_else(|| visit.reading(step, Moment::AsFound, output))
        };
        let both = |step: u32| {
            let shorted = last(step, Output::Shorted)?;
            Some(Self { step, shorted, field: last(step, Output::Field)? })
        };
        steps.into_iter().filter_map(both).collect()
    }

    /// Whether one of the two was read as found only: if the step was adjusted after that, two settings
    /// are compared.
    #[must_use]
    pub fn may_be_two_settings(&self) -> bool {
        [self.shorted, self.field].iter().any(|reading| reading.moment == Moment::AsFound)
    }

    /// The true currents shorted and with the field, RMS; `None` where one of them was not judged.
    #[must_use]
    pub fn true_rms_a(&self) -> Option<(f64, f64)> {
        let true_a = |reading: &ReadingTaken| reading.judgement.as_ref()?.true_rms_a;
        true_a(self.shorted).zip(true_a(self.field))
    }
}

use jiff::civil::Date;

use crate::error::{Bounds, Result};
use crate::procedure::Visit;
use crate::procedure::entry::{MeterDoubt, Moment, Output};

/// A reading of the past whose meter was later found wrong: what it was taken for, what it was.
#[derive(Clone, Debug, PartialEq)]
pub struct AffectedReading {
    /// The regulator.
    pub regulator: String,
    /// Number of the visit.
    pub visit: u64,
    /// Number of the entry.
    pub entry: u64,
    /// Day of the visit.
    pub day: Date,
    /// Number of the brightness step.
    pub step: u32,
    /// Before or after adjusting.
    pub moment: Moment,
    /// What the output was connected to.
    pub output: Output,
    /// The true current it was judged to mean, RMS; the number shown where it was not judged.
    pub taken_for_a: f64,
    /// What it was, best estimate.
    pub was_a: f64,
    /// Band of the step; `None` where the reading was not judged.
    pub band_a: Option<(f64, f64)>,
}

impl AffectedReading {
    /// What a meter shows too much.
    pub const ERROR_RATIO: Bounds = Bounds::new("error of the meter", "", -0.9, 9.0);

    /// Every reading among visits that a doubt about a meter touches, in their order.
    ///
    /// # Formula
    /// I_was = I_taken / (1 + e), e what the meter shows too much
    ///
    /// # Errors
    /// `OutOfRange` for an error out of [`Self::ERROR_RATIO`].
    pub fn all(visits: &[Visit], doubt: &MeterDoubt) -> Result<Vec<Self>> {
        Self::ERROR_RATIO.check(doubt.error_ratio)?;
        let touched = visits.iter().filter(|visit| {
            let opening = visit.opening();
            opening.meter == doubt.meter && opening.day >= doubt.from && opening.day <= doubt.until
        });
        let readings = touched.flat_map(|visit| {
            visit.readings().map(move |(logged, reading)| {
                let judged = reading.judgement.as_ref();
                let taken_for_a =
                    judged.and_then(|judged| judged.true_rms_a).unwrap_or(reading.shown_a);
                Self {
                    regulator: visit.opening().regulator.clone(),
                    visit: visit.number(),
                    entry: logged.number,
                    day: visit.opening().day,
                    step: reading.step,
                    moment: reading.moment,
                    output: reading.output,
                    taken_for_a,
                    was_a: taken_for_a / (1.0 + doubt.error_ratio),
                    band_a: judged.map(|judged| (judged.low_a, judged.high_a)),
                }
            })
        });
        Ok(readings.collect())
    }

    /// Whether it was taken to lie in its band and did not; `None` where it was not judged.
    #[must_use]
    pub fn was_wrongly_accepted(&self) -> Option<bool> {
        let (low_a, high_a) = self.band_a?;
        let inside = |a: f64| a >= low_a && a <= high_a;
        Some(inside(self.taken_for_a) && !inside(self.was_a))
    }
}

use crate::error::Result;
use crate::uncertainty::decision::Limits;
use crate::uncertainty::{Expanded, Interval};

use super::{CorrectedReading, Instrument, StepCurrents, Terms};

/// The current a displayed value really means.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ShownCurrent {
    /// The number on the display.
    pub shown_a: f64,
    /// The true RMS current, best estimate.
    pub true_a: f64,
    /// Its standard uncertainty.
    pub standard_uncertainty_a: f64,
    /// Its expanded uncertainty, at the probability asked for.
    pub expanded: Expanded,
    /// Probability that it lies in the step's band.
    pub conformance_probability: f64,
}

impl ShownCurrent {
    /// What a number on a meter's display means at a step; `None` when the meter shows nothing of its
    /// currents or its sheet states no accuracy there.
    ///
    /// # Errors
    /// As [`Instrument::read_all`] and [`CorrectedReading::at`].
    pub fn of(
        instrument: &Instrument,
        currents: &StepCurrents,
        shown_a: f64,
        terms: &Terms,
    ) -> Result<Option<Self>> {
        let signals = currents.signals();
        let readings = instrument.read_all(&signals)?;
        let frequency_hz =
            signals.first().map_or(f64::NAN, |signal| signal.waveform().frequency_hz());
        let reading = CorrectedReading::new(instrument.sheet(), &readings, frequency_hz, terms);
        let Some(reading) = reading.filter(CorrectedReading::is_specified) else { return Ok(None) };
        let band = currents.step().band;
        reading.at(shown_a, &Limits::between(band.low_a(), band.high_a())?).map(Some)
    }

    /// Where the true current lies.
    #[must_use]
    pub fn interval(&self) -> Interval {
        Interval {
            low: self.true_a - self.expanded.half_width,
            high: self.true_a + self.expanded.half_width,
            coverage_probability: self.expanded.coverage_probability,
        }
    }
}

use std::ops::Range;

use crate::error::{Bounds, Error, Note, Noted, Result};

use super::channel::longest_clear;
use super::{Cut, CutOptions, Stretch};

/// What a file with fewer samples than periods is.
pub(super) const LIST_OF_READINGS: &str = "this looks like a list of RMS readings, not a waveform: record the current itself, with 32 or more samples in each mains period";

/// One channel in amperes on an even time axis, gaps included.
#[derive(Clone, Debug, PartialEq)]
pub struct Samples {
    /// NaN for a gap; `None` outside.
    samples_a: Vec<f64>,
    sample_rate_hz: f64,
    rate_relative_standard_uncertainty_ratio: Option<f64>,
}

impl Samples {
    /// Samples per second that make sense for a current at mains frequency.
    pub const SAMPLE_RATE_HZ: Bounds = Bounds::new("sample rate", "Hz", 1.0, 1e9);

    /// Samples in amperes at a known rate; whatever is not finite is a gap.
    ///
    /// # Errors
    /// `OutOfRange` when the rate makes no sense.
    pub fn new(mut samples_a: Vec<f64>, sample_rate_hz: f64) -> Result<Self> {
        Self::SAMPLE_RATE_HZ.check(sample_rate_hz).map_err(|error| {
            if sample_rate_hz < Self::SAMPLE_RATE_HZ.min {
                error.with_hint(LIST_OF_READINGS)
            } else {
                error
            }
        })?;
        for i_a in samples_a.iter_mut().filter(|i_a| !i_a.is_finite()) {
            *i_a = f64::NAN;
        }
        let rate_relative_standard_uncertainty_ratio = None;
        Ok(Self { samples_a, sample_rate_hz, rate_relative_standard_uncertainty_ratio })
    }

    /// The same samples with what is known about the rate.
    #[must_use]
    pub fn with_rate_uncertainty(mut self, relative_standard_uncertainty_ratio: f64) -> Self {
        self.rate_relative_standard_uncertainty_ratio = Some(relative_standard_uncertainty_ratio);
        self
    }

    /// Number of samples, gaps included.
    #[must_use]
    pub fn len(&self) -> usize {
        self.samples_a.len()
    }

    /// Whether there is no sample at all.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.samples_a.is_empty()
    }

    /// Sample k in amperes; `None` for a gap or beyond the end.
    #[must_use]
    pub fn sample_a(&self, k: usize) -> Option<f64> {
        self.samples_a.get(k).copied().filter(|i_a| !i_a.is_nan())
    }

    /// Samples per second.
    #[must_use]
    pub fn sample_rate_hz(&self) -> f64 {
        self.sample_rate_hz
    }

    /// Standard uncertainty of the rate relative to it; `None` when nothing is known.
    #[must_use]
    pub fn rate_relative_standard_uncertainty_ratio(&self) -> Option<f64> {
        self.rate_relative_standard_uncertainty_ratio
    }

    /// Whole mains periods on a uniform grid, cut from a stretch without a gap.
    ///
    /// # Errors
    /// As the stages: `Inconsistent` for too few samples or periods, a stretch across a gap, a
    /// constant signal or one without a period in the frequency range; `OutOfRange` for options.
    pub fn cut(&self, options: &CutOptions) -> Result<Noted<Cut>> {
        super::cut::cut(self, options)
    }

    pub(super) fn raw_a(&self) -> &[f64] {
        &self.samples_a
    }

    /// The stretch to work on, free of gaps; whether steadiness still has to be looked for.
    pub(super) fn clear_stretch(
        &self,
        stretch: &Stretch,
        notes: &mut Vec<Note>,
    ) -> Result<(Range<usize>, bool)> {
        let count = self.len();
        let asked = stretch.asked(count, self.sample_rate_hz)?;
        let within = asked.clone().unwrap_or(0..count);
        let gaps = self.samples_a[within.clone()].iter().filter(|i_a| i_a.is_nan()).count();
        if gaps == 0 {
            return Ok((within, *stretch == Stretch::Steady));
        }
        let clear = longest_clear(&self.samples_a, within.clone());
        if asked.is_some() {
            return Err(Error::inconsistent(format!(
                "the stretch asked for has {gaps} gaps, and no window is cut across a gap"
            ))
            .with_hint(format!(
                "its longest part without one is samples {} to {} (counted from 0)",
                clear.start,
                clear.end.saturating_sub(1)
            )));
        }
        notes.push(Note::new(
            "gaps",
            format!(
                "{gaps} of {count} samples are missing; the longest stretch without a gap is used: samples {} to {}, {:.4} s",
                clear.start,
                clear.end.saturating_sub(1),
                clear.len() as f64 / self.sample_rate_hz
            ),
        ));
        Ok((clear, *stretch == Stretch::Steady))
    }
}

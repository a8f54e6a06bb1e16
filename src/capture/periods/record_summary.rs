use crate::error::{Error, Note, Noted, Result};

use super::super::{Event, SampleStream, Samples};
use super::gathering::Gathering;
use super::{Envelope, HarmonicGroups, PeriodAnalyser, PeriodOptions, PeriodSink, SteadyPart};

/// Samples in which the first mains frequency is looked for.
const HEAD_SAMPLES: usize = 1 << 17;
/// What is kept of a record of any length.
#[derive(Clone, Debug)]
pub struct RecordSummary {
    /// Samples per second.
    pub sample_rate_hz: f64,
    /// Samples on the time axis, gaps included.
    pub samples: u64,
    /// Samples that the record does not give.
    pub missing_samples: u64,
    /// Whole periods.
    pub periods: u64,
    /// Windows of 10 or 12 cycles.
    pub windows: u64,
    /// Smallest and largest mains frequency that was found; `None` when it was given.
    pub frequency_span_hz: Option<(f64, f64)>,
    /// The first and the last of them.
    pub frequency_ends_hz: Option<(f64, f64)>,
    /// Smallest and largest RMS of a single period.
    pub rms_span_a: (f64, f64),
    /// Smallest and largest RMS of a window; `None` without one.
    pub window_rms_span_a: Option<(f64, f64)>,
    /// The longest stretch in which the current stays as it is; `None` when it nowhere does.
    pub steady: Option<SteadyPart>,
    /// Every period of the record, steady or not.
    pub all: SteadyPart,
    /// Harmonic groups of the window in the middle of the steady stretch, or of the first.
    pub groups: Option<HarmonicGroups>,
    /// The samples, by their number.
    pub envelope: Envelope,
    /// The RMS of single periods, by the number of the sample at which they begin.
    pub rms_envelope: Envelope,
    /// What happened, in the order of time.
    pub events: Vec<Event>,
    /// Highest harmonic order that the sample rate carries.
    pub highest_order: usize,
}

impl RecordSummary {
    /// Reads a record to its end; rows go to the sink as they come, and `progress` is told the bytes
    /// that are done.
    ///
    /// # Errors
    /// As [`SampleStream::next_block`]; `Inconsistent` when there is no period of a mains frequency
    /// anywhere; whatever the sink returns.
    pub fn of(
        stream: &mut SampleStream,
        options: &PeriodOptions,
        sink: &mut dyn PeriodSink,
        progress: &mut dyn FnMut(u64),
    ) -> Result<Noted<Self>> {
        options.checked()?;
        let frequency_hz = match options.frequency_hz {
            Some(hz) => hz,
            None => {
                let found = first_frequency_hz(stream, options)?;
                *stream = stream.again()?;
                found
            }
        };
        let rate_hz = stream.sample_rate_hz();
        let mut analyser = PeriodAnalyser::new(rate_hz, frequency_hz, options.clone())?;
        let mut gathering = Gathering::new(rate_hz, frequency_hz, options, sink);
        let mut block_a = Vec::new();
        let mut more = true;
        while more {
            block_a.clear();
            more = stream.next_block(&mut block_a)?;
            gathering.samples(&block_a);
            analyser.observe(&block_a, &mut gathering)?;
            progress(stream.done_bytes());
        }
        analyser.end_stretch(&mut gathering)?;
        let notes: Vec<Note> = stream.notes();
        Ok(Noted { value: gathering.finish()?, notes })
    }

    /// The stretch that stands for the record: the steady one, else all of it.
    #[must_use]
    pub fn representative(&self) -> &SteadyPart {
        self.steady.as_ref().unwrap_or(&self.all)
    }

    /// Length of the record.
    #[must_use]
    pub fn duration_s(&self) -> f64 {
        self.samples as f64 / self.sample_rate_hz
    }
}

/// The mains frequency of the first part of a record that has one.
fn first_frequency_hz(stream: &mut SampleStream, options: &PeriodOptions) -> Result<f64> {
    let mut head_a = Vec::new();
    let mut first_error: Option<Error> = None;
    let mut more = true;
    while more {
        more = stream.next_block(&mut head_a)?;
        if more && head_a.len() < HEAD_SAMPLES {
            continue;
        }
        for part_a in head_a.chunks(HEAD_SAMPLES) {
            let samples = Samples::new(part_a.to_vec(), stream.sample_rate_hz())?;
            match PeriodAnalyser::frequency_of(&samples, options) {
                Ok(hz) => return Ok(hz),
                Err(error) => first_error = first_error.or(Some(error)),
            }
        }
        head_a.clear();
    }
    Err(first_error.unwrap_or_else(|| Error::inconsistent("there is no sample")))
}

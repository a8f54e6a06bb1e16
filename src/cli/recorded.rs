//! What the commands that read whole records have in common.

use std::path::Path;

use clap::Args;

use crate::assess::RecordedStep;
use crate::capture::{
    PeriodOptions, PeriodSink, RecordSummary, RmsUncertainty, SampleStream, said_before,
};
use crate::description::{CaptureOrigin, Description, capture_settings, misspelt};
use crate::error::{Error, Note, Noted, Result};
use crate::regulator::{BandSet, Step, StepTable};
use crate::waveform::TrueRms;

use super::file_progress::Progress;
use super::quantities::{clamp_factor, frequency, ratio};
use super::steps;
use super::written_args::WrittenArgs;

/// How records are read.
#[derive(Debug, Args)]
pub(super) struct ReadingArgs {
    /// Name or number (from 1) of the column with the current
    #[arg(long)]
    pub(super) column: Option<String>,
    /// Unit of that column, when the file does not say or is wrong
    #[arg(long)]
    pub(super) unit: Option<String>,
    /// Name or number (from 1) of the column with the time, or "none"
    #[arg(long)]
    pub(super) time_column: Option<String>,
    /// Samples per second, when the file does not say or is wrong
    #[arg(long, value_parser = frequency)]
    pub(super) sample_rate: Option<f64>,
    /// Output of the clamp, when the file holds volts, such as 100mV/A
    #[arg(long, value_parser = clamp_factor)]
    pub(super) clamp: Option<f64>,
    /// Limit of error of the clamp and its input, such as 1%
    #[arg(long, value_parser = ratio)]
    pub(super) clamp_accuracy: Option<f64>,
    #[command(flatten)]
    pub(super) written: WrittenArgs,
    /// Lowest mains frequency looked for
    #[arg(long, value_parser = frequency, default_value = "40 Hz")]
    pub(super) lowest: f64,
    /// Highest mains frequency looked for
    #[arg(long, value_parser = frequency, default_value = "70 Hz")]
    pub(super) highest: f64,
    /// Circuit whose steps are meant (see `loopcrest steps`)
    #[arg(long, default_value = "6.6A-5-step")]
    pub(super) circuit: String,
    /// Band set (see `loopcrest steps`)
    #[arg(long)]
    pub(super) bands: Option<String>,
}

/// A record read to its end.
pub(super) struct Read {
    pub(super) stream: SampleStream,
    pub(super) summary: RecordSummary,
    pub(super) uncertainty: RmsUncertainty,
    pub(super) step: RecordedStep,
    pub(super) notes: Vec<Note>,
}

impl ReadingArgs {
    /// The steps of the description, or the published ones of the circuit.
    pub(super) fn table(&self, description: Option<&Description>) -> Result<StepTable> {
        if let Some(description) = description {
            return Ok(description.steps.clone());
        }
        let class = steps::circuit(&self.circuit)?;
        let set = match &self.bands {
            None => BandSet::default_for(class),
            Some(key) => BandSet::from_key(key).ok_or_else(|| {
                let known = BandSet::ALL.map(BandSet::key);
                misspelt(format!("one of the band sets {}", known.join(", ")), key, known)
            })?,
        };
        StepTable::published(class, set)
    }

    /// Reads a record to its end, its rows going to the sink.
    pub(super) fn read(
        &self,
        file: &Path,
        table: &StepTable,
        asked: Option<&Step>,
        sink: &mut dyn PeriodSink,
    ) -> Result<Read> {
        self.read_unexplained(file, table, asked, sink).map_err(with_options)
    }

    fn read_unexplained(
        &self,
        file: &Path,
        table: &StepTable,
        asked: Option<&Step>,
        sink: &mut dyn PeriodSink,
    ) -> Result<Read> {
        let origin = self.origin(file);
        let Noted { value: mut stream, mut notes } =
            SampleStream::open(file, &origin.reading, &origin.channel)?;
        let options = PeriodOptions {
            min_frequency_hz: self.lowest,
            max_frequency_hz: self.highest,
            ..PeriodOptions::default()
        };
        let name = file.file_name().unwrap_or(file.as_os_str()).to_string_lossy();
        let progress = Progress::begin(&name, stream.size_bytes());
        let summary = RecordSummary::of(&mut stream, &options, sink, &mut |done_bytes| {
            progress.at(done_bytes);
        })
        .map_err(|error| said_before(error, &notes).in_file(file))?;
        for note in summary.notes {
            if notes.iter().all(|known| known.code != note.code) {
                notes.push(note);
            }
        }
        let summary = summary.value;
        let part = summary.representative();
        let uncertainty = RmsUncertainty::of(part, self.clamp_accuracy)?;
        let true_rms = TrueRms::stated_a(part.rms_a());
        let step = RecordedStep::of(table, asked, true_rms, uncertainty.expanded_ratio());
        Ok(Read { stream, summary, uncertainty, step, notes })
    }

    fn origin(&self, file: &Path) -> CaptureOrigin {
        let (column, time_column) = (self.column.as_deref(), self.time_column.as_deref());
        let mut origin = CaptureOrigin::new(file.to_owned(), column, time_column);
        origin.reading.sample_rate_hz = self.sample_rate;
        origin.channel.unit = self.unit.clone();
        origin.channel.clamp_v_per_a = self.clamp;
        self.written.apply(&mut origin);
        origin
    }
}

/// The same error with the options that decide what it is about.
fn with_options(error: Error) -> Error {
    let options: Vec<_> = capture_settings(&error)
        .into_iter()
        .filter(|setting| *setting != "from")
        .map(|setting| format!("--{setting}"))
        .collect();
    if options.is_empty() {
        return error;
    }
    error.with_more_hint(format!("here: {}", options.join(", ")))
}

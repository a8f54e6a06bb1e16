//! What the commands that read whole records have in common.

use std::path::Path;

use clap::Args;

use crate::assess::RecordedStep;
use crate::capture::{
    PeriodOptions, PeriodSink, RecordSummary, RmsUncertainty, SampleStream, said_before,
};
use crate::description::Description;
use crate::error::{Note, Noted, Result};
use crate::regulator::{Step, StepTable};
use crate::waveform::TrueRms;

use super::channel_args::{ChannelArgs, with_options};
use super::file_progress::Progress;
use super::quantities::ratio;

/// How records are read.
#[derive(Debug, Args)]
pub(super) struct ReadingArgs {
    #[command(flatten)]
    channel: ChannelArgs,
    /// Limit of error of the clamp and its input, such as 1%
    #[arg(long, value_parser = ratio)]
    clamp_accuracy: Option<f64>,
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
        self.channel.table()
    }

    /// Reads a record to its end, its rows going to the sink.
    pub(super) fn read(
        &self,
        file: &Path,
        table: &StepTable,
        asked: Option<&Step>,
        sink: &mut dyn PeriodSink,
    ) -> Result<Read> {
        self.read_unexplained(file, table, asked, sink)
            .map_err(|error| with_options(error, &["from"]))
    }

    fn read_unexplained(
        &self,
        file: &Path,
        table: &StepTable,
        asked: Option<&Step>,
        sink: &mut dyn PeriodSink,
    ) -> Result<Read> {
        let origin = self.channel.origin(file);
        let Noted { value: mut stream, mut notes } =
            SampleStream::open(file, &origin.reading, &origin.channel)?;
        let options = PeriodOptions {
            min_frequency_hz: origin.cutting.min_frequency_hz,
            max_frequency_hz: origin.cutting.max_frequency_hz,
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
}

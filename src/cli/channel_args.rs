use std::path::Path;

use clap::Args;

use crate::description::{CaptureOrigin, capture_settings, misspelt};
use crate::error::{Error, Result};
use crate::regulator::{BandSet, StepTable};

use super::quantities::{clamp_factor, frequency};
use super::steps;
use super::written_args::WrittenArgs;

/// What the caller says of a file and its current, and of the steps it is held against.
#[derive(Debug, Args)]
pub(super) struct ChannelArgs {
    /// Name or number (from 1) of the column with the current
    #[arg(long)]
    column: Option<String>,
    /// Unit of that column, when the file does not say or is wrong
    #[arg(long)]
    unit: Option<String>,
    /// Name or number (from 1) of the column with the time, or "none"
    #[arg(long)]
    time_column: Option<String>,
    /// Samples per second, when the file does not say or is wrong
    #[arg(long, value_parser = frequency)]
    sample_rate: Option<f64>,
    /// Output of the clamp, when the file holds volts, such as 100mV/A
    #[arg(long, value_parser = clamp_factor)]
    clamp: Option<f64>,
    #[command(flatten)]
    written: WrittenArgs,
    /// Lowest mains frequency looked for
    #[arg(long, value_parser = frequency, default_value = "40 Hz")]
    lowest: f64,
    /// Highest mains frequency looked for
    #[arg(long, value_parser = frequency, default_value = "70 Hz")]
    highest: f64,
    /// Circuit whose steps are meant (see `loopcrest steps`)
    #[arg(long, default_value = "6.6A-5-step")]
    circuit: String,
    /// Band set (see `loopcrest steps`)
    #[arg(long)]
    bands: Option<String>,
}

impl ChannelArgs {
    /// How this file is to be read.
    pub(super) fn origin(&self, file: &Path) -> CaptureOrigin {
        let (column, time_column) = (self.column.as_deref(), self.time_column.as_deref());
        let mut origin = CaptureOrigin::new(file.to_owned(), column, time_column);
        origin.reading.sample_rate_hz = self.sample_rate;
        origin.channel.unit = self.unit.clone();
        origin.channel.clamp_v_per_a = self.clamp;
        origin.cutting.min_frequency_hz = self.lowest;
        origin.cutting.max_frequency_hz = self.highest;
        self.written.apply(&mut origin);
        origin
    }

    /// The published steps of the circuit.
    pub(super) fn table(&self) -> Result<StepTable> {
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
}

/// The same error with the options that decide what it is about, those a command has not left out.
pub(super) fn with_options(error: Error, without: &[&str]) -> Error {
    let options: Vec<_> = capture_settings(&error)
        .into_iter()
        .filter(|setting| !without.contains(setting))
        .map(|setting| format!("--{setting}"))
        .collect();
    if options.is_empty() {
        return error;
    }
    error.with_more_hint(format!("here: {}", options.join(", ")))
}

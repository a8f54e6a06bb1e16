use std::path::Path;

use crate::error::{Error, Note, Noted, Result};

use super::{Channel, ChannelOptions, Cut, CutOptions, ReadOptions, Record, read_bytes, read_file};

/// A file read, its current picked and cut: the whole road from an instrument's file to periods.
#[derive(Clone, Debug, PartialEq)]
pub struct Recorded {
    /// What the file holds.
    pub record: Record,
    /// The channel that was taken as the current, as the file gives it.
    pub channel: Channel,
    /// What the caller knew better than the file.
    pub reading: ReadOptions,
    /// How its numbers became amperes.
    pub channel_options: ChannelOptions,
    /// Samples per second that were used.
    pub sample_rate_hz: f64,
    /// The whole periods.
    pub cut: Cut,
}

impl Recorded {
    /// Reads a file, picks its current and cuts whole periods, with everything noticed on the way.
    ///
    /// # Errors
    /// As [`read_file`], [`Record::current`] and [`Samples::cut`](super::Samples::cut), with the
    /// file named.
    pub fn open(
        file: &Path,
        reading: &ReadOptions,
        channel: &ChannelOptions,
        cutting: &CutOptions,
    ) -> Result<Noted<Self>> {
        let noted = read_file(file, reading)?;
        Self::of_record(noted, reading, channel, cutting).map_err(|error| error.in_file(file))
    }

    /// The same for the bytes of one file.
    ///
    /// # Errors
    /// As [`read_bytes`], [`Record::current`] and [`Samples::cut`](super::Samples::cut).
    pub fn of_bytes(
        bytes: &[u8],
        reading: &ReadOptions,
        channel: &ChannelOptions,
        cutting: &CutOptions,
    ) -> Result<Noted<Self>> {
        Self::of_record(read_bytes(bytes, reading)?, reading, channel, cutting)
    }

    fn of_record(
        noted: Noted<Record>,
        reading: &ReadOptions,
        channel: &ChannelOptions,
        cutting: &CutOptions,
    ) -> Result<Noted<Self>> {
        let (record, mut notes) = (noted.value, noted.notes);
        let samples = record.current(channel).map_err(|error| said_before(error, &notes))?;
        notes.extend(samples.notes);
        let cut = samples.value.cut(cutting).map_err(|error| said_before(error, &notes))?;
        notes.extend(cut.notes);
        let picked = record.channel(&channel.column)?.clone();
        let sample_rate_hz = samples.value.sample_rate_hz();
        let recorded = Self {
            record,
            channel: picked,
            reading: reading.clone(),
            channel_options: channel.clone(),
            sample_rate_hz,
            cut: cut.value,
        };
        Ok(Noted { value: recorded, notes })
    }
}

/// The same error with what had been found damaged before it: often the cause, and lost otherwise.
#[must_use]
pub fn said_before(error: Error, notes: &[Note]) -> Error {
    let found: Vec<&str> = notes
        .iter()
        .filter(|note| DAMAGE.contains(&note.code))
        .map(|note| note.text.as_str())
        .collect();
    if found.is_empty() {
        error
    } else {
        error.with_more_hint(format!("noticed before: {}", found.join("; ")))
    }
}

/// Codes of the notes that tell of a file that is not whole.
const DAMAGE: [&str; 7] = [
    "bad-rows",
    "channel-left-out",
    "data-cut",
    "gaps",
    "last-row-open",
    "marked-missing",
    "promise-not-kept",
];

use std::fs::File;
use std::io::Read;
use std::path::{Path, PathBuf};

use crate::error::{Error, Note, Noted, Result};

use super::super::{ChannelOptions, Format, ReadOptions, Record, Samples, comtrade};
use super::block_source::BlockSource;
use super::part_source::PartSource;
use super::row_parts::RowParts;
use super::text_source::TextSource;
use super::whole_source::WholeSource;

/// Beginning of a larger text from which its layout is found.
const HEAD_BYTES: u64 = 4 << 20;

/// The current of a record, handed out in blocks however large the file is.
///
/// Use it for files that do not fit in memory and for whole-record time series;
/// [`Recorded`](super::super::Recorded) is for one stretch of an ordinary file.
///
/// # Validity
/// Resident memory stays below 200 MB for delimited text of any size
/// (`law_memory_does_not_grow_with_the_file`), for WAV, for COMTRADE with a sample rate and for NumPy
/// arrays of samples by channels. Held whole, up to the limit of [`ReadOptions`], are: COMTRADE by time
/// stamps, as text with several rates, as a single binary file that does not say how long its data are;
/// arrays with a time axis or of channels by samples.
#[derive(Debug)]
pub struct SampleStream {
    path: PathBuf,
    reading: ReadOptions,
    channel: ChannelOptions,
    source: Box<dyn BlockSource>,
    about: Record,
    sample_rate_hz: f64,
    size_bytes: u64,
}

impl SampleStream {
    /// Opens a file and finds out how it is to be read.
    ///
    /// # Errors
    /// As [`read_file`](super::super::read_file) and [`Record::current`], with the file named.
    pub fn open(
        path: &Path,
        reading: &ReadOptions,
        channel: &ChannelOptions,
    ) -> Result<Noted<Self>> {
        let failed = |source| Error::io(path, source);
        let mut file = File::open(path).map_err(failed)?;
        let size_bytes = file.metadata().map_err(failed)?.len();
        let mut head = Vec::new();
        // The configuration of a large record is a small file.
        if size_bytes > reading.limits.max_whole_bytes || comtrade::is_configuration(path) {
            (&mut file).take(HEAD_BYTES).read_to_end(&mut head).map_err(failed)?;
        }
        let in_file = |error: Error| error.in_file(path);
        let parts =
            RowParts::of(path, &head, reading.limits.max_whole_bytes, reading).map_err(in_file)?;
        let begun = match parts {
            Some(rows) => PartSource::begin(rows, reading, channel).map_err(in_file)?,
            None if size_bytes > reading.limits.max_whole_bytes
                && is_lines(&head)
                && is_delimited(path, &head) =>
            {
                Some(TextSource::begin(file, &head, reading, channel).map_err(in_file)?)
            }
            None => None,
        };
        let begun = match begun {
            Some(begun) => begun,
            None => WholeSource::begin(path, reading, channel)?,
        };
        let Begun { source, about, sample_rate_hz, notes, data_bytes } = begun;
        let stream = Self {
            path: path.to_owned(),
            reading: reading.clone(),
            channel: channel.clone(),
            source,
            about,
            sample_rate_hz,
            size_bytes: data_bytes.unwrap_or(size_bytes),
        };
        Ok(Noted { value: stream, notes })
    }

    /// The same stream from its beginning.
    ///
    /// # Errors
    /// As [`Self::open`].
    pub fn again(&self) -> Result<Self> {
        Ok(Self::open(&self.path, &self.reading, &self.channel)?.value)
    }

    /// Appends the next samples in amperes, gaps as NaN; false when there are no more.
    ///
    /// # Errors
    /// `Io` when the file cannot be read on.
    pub fn next_block(&mut self, block_a: &mut Vec<f64>) -> Result<bool> {
        self.source.next_block(block_a).map_err(|error| error.in_file(&self.path))
    }

    /// Samples per second.
    #[must_use]
    pub fn sample_rate_hz(&self) -> f64 {
        self.sample_rate_hz
    }

    /// How the file was understood, with one channel: the current, or its first part.
    #[must_use]
    pub fn about(&self) -> &Record {
        &self.about
    }

    /// Bytes of the file that holds the samples.
    #[must_use]
    pub fn size_bytes(&self) -> u64 {
        self.size_bytes
    }

    /// Bytes that are done.
    #[must_use]
    pub fn done_bytes(&self) -> u64 {
        self.source.done_bytes()
    }

    /// What was noticed while reading; complete once the blocks are at their end.
    #[must_use]
    pub fn notes(&self) -> Vec<Note> {
        self.source.notes()
    }
}

/// A source at its beginning, and what is known of it.
pub(super) struct Begun {
    pub(super) source: Box<dyn BlockSource>,
    pub(super) about: Record,
    pub(super) sample_rate_hz: f64,
    pub(super) notes: Vec<Note>,
    /// Bytes of the file of the samples, where that may be another than the one named.
    pub(super) data_bytes: Option<u64>,
}

/// The record with its current alone, that current in amperes, and what was noticed.
pub(super) fn picked(
    mut record: Record,
    channel: &ChannelOptions,
) -> Result<(Record, Noted<Samples>)> {
    let samples = record.current(channel)?;
    let number = record.channel(&channel.column)?.number;
    record.channels.retain(|channel| channel.number == number);
    Ok((record, samples))
}

/// Whether the beginning of a large file is text in lines.
fn is_lines(head: &[u8]) -> bool {
    let is_wide = matches!(head, [0xFF, 0xFE, ..] | [0xFE, 0xFF, ..]);
    (is_wide || !head.contains(&0)) && memchr::memchr2(b'\n', b'\r', head).is_some()
}

/// Whether lines are rows of their own, and no part of a record that explains itself otherwise.
fn is_delimited(path: &Path, head: &[u8]) -> bool {
    Format::of(head).is_ok_and(|format| format == Format::DelimitedText)
        && comtrade::configuration_beside(path).is_none()
}

use std::fs::File;
use std::io::{Read, Seek, SeekFrom};

use crate::error::{Error, Note, Noted, Result};

use super::super::text::promise_not_kept;
use super::super::{ChannelOptions, ColumnChoice, ReadOptions};
use super::block_source::BlockSource;
use super::packed_rows::PackedRows;
use super::sample_stream::{Begun, picked};

/// Bytes of rows read at a time.
const CHUNK_BYTES: usize = 1 << 20;
/// Notes of a single chunk that are worth telling; the others are told of the file as a whole.
const TOLD_OF_CHUNKS: [&str; 2] = ["data-cut", "sample-numbers-uneven"];

/// A large file of rows of equal length, some rows at a time.
#[derive(Debug)]
pub(super) struct PackedSource {
    file: File,
    rows: PackedRows,
    reading: ReadOptions,
    channel: ChannelOptions,
    rows_done: u64,
    last_number: Option<u32>,
    gaps: u64,
    found: Vec<Note>,
}

impl PackedSource {
    /// Understands the first rows as a record of their own.
    pub(super) fn begin(
        rows: PackedRows,
        reading: &ReadOptions,
        channel: &ChannelOptions,
    ) -> Result<Begun> {
        let failed = |source| Error::io(&rows.path, source);
        let mut file = File::open(&rows.path).map_err(failed)?;
        file.seek(SeekFrom::Start(rows.start)).map_err(failed)?;
        let mut source = Self {
            file,
            rows,
            reading: reading.clone(),
            channel: channel.clone(),
            rows_done: 0,
            last_number: None,
            gaps: 0,
            found: Vec::new(),
        };
        let first = source.next_rows()?;
        let Noted { value: record, mut notes } = source.rows.read(first, reading)?;
        // What concerns all rows is told when all of them are read.
        notes.retain(|note| {
            !matches!(note.code, "promise-not-kept" | "rows-placed-by-number")
                && !TOLD_OF_CHUNKS.contains(&note.code)
        });
        let (about, samples) = picked(record, channel)?;
        notes.extend(samples.notes);
        let sample_rate_hz = samples.value.sample_rate_hz();
        source.channel.column = ColumnChoice::Number(about.channels[0].number);
        let start = SeekFrom::Start(source.rows.start);
        source.file.seek(start).map_err(|error| Error::io(&source.rows.path, error))?;
        let data_bytes = Some(source.rows.size_bytes);
        Ok(Begun { source: Box::new(source), about, sample_rate_hz, notes, data_bytes })
    }

    /// The bytes of the next rows; fewer than a row at the end.
    fn next_rows(&mut self) -> Result<Vec<u8>> {
        let left = self.rows.rows_at_most() - self.rows_done;
        let count = left.min((CHUNK_BYTES / self.rows.row_bytes).max(1) as u64);
        let mut bytes = Vec::new();
        (&mut self.file)
            .take(count * self.rows.row_bytes as u64)
            .read_to_end(&mut bytes)
            .map_err(|source| Error::io(&self.rows.path, source))?;
        Ok(bytes)
    }

    /// Rows that the numbers skip between the chunk before and this one.
    fn rows_left_out(&self, bytes: &[u8]) -> usize {
        let numbers = self.last_number.zip(self.rows.number(bytes, 0));
        let skipped = numbers.and_then(|(last, now)| now.checked_sub(last)?.checked_sub(1));
        let skipped = skipped.map_or(0, |rows| rows as usize);
        if skipped > self.reading.limits.max_missing_rows { 0 } else { skipped }
    }
}

impl BlockSource for PackedSource {
    fn next_block(&mut self, block_a: &mut Vec<f64>) -> Result<bool> {
        let bytes = self.next_rows()?;
        let count = bytes.len() / self.rows.row_bytes;
        if count == 0 {
            return Ok(false);
        }
        let left_out = self.rows_left_out(&bytes);
        block_a.extend(std::iter::repeat_n(f64::NAN, left_out));
        self.last_number = self.rows.number(&bytes, count - 1);
        let Noted { value: record, notes } = self.rows.read(bytes, &self.reading)?;
        for note in notes {
            let is_new = self.found.iter().all(|known| known.code != note.code);
            if is_new && TOLD_OF_CHUNKS.contains(&note.code) {
                self.found.push(note);
            }
        }
        let samples = record.current(&self.channel)?.value;
        let missing = samples.raw_a().iter().filter(|i_a| i_a.is_nan()).count();
        self.gaps += (left_out + missing) as u64;
        block_a.extend_from_slice(samples.raw_a());
        self.rows_done += count as u64;
        Ok(true)
    }

    fn done_bytes(&self) -> u64 {
        self.rows.start + self.rows_done * self.rows.row_bytes as u64
    }

    fn notes(&self) -> Vec<Note> {
        let mut notes = self.found.clone();
        if self.gaps > 0 {
            let gaps = self.gaps;
            notes.push(Note::new(
                "gaps",
                format!("{gaps} samples are missing; no period is cut across a gap"),
            ));
        }
        if let Some(promised) = self.rows.promised
            && promised != self.rows_done
        {
            let (of, rows) = (self.rows.promise_of(), self.rows_done as usize);
            notes.push(promise_not_kept(of, promised as f64, rows));
        }
        notes
    }
}

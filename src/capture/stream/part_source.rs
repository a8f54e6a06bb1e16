use crate::error::{Note, Noted, Result};

use super::super::text::promise_not_kept;
use super::super::{ChannelOptions, ColumnChoice, ReadOptions};
use super::block_source::BlockSource;
use super::row_parts::RowParts;
use super::sample_stream::{Begun, picked};

/// Notes of a single part that are worth telling; the others are told of the file as a whole.
const TOLD_OF_PARTS: [&str; 3] = ["data-cut", "last-row-open", "sample-numbers-uneven"];

/// A large file of rows, some of them at a time.
#[derive(Debug)]
pub(super) struct PartSource {
    rows: RowParts,
    reading: ReadOptions,
    channel: ChannelOptions,
    last_number: Option<i64>,
    gaps: u64,
    found: Vec<Note>,
}

impl PartSource {
    /// Understands the first rows as a record of their own.
    pub(super) fn begin(
        mut rows: RowParts,
        reading: &ReadOptions,
        channel: &ChannelOptions,
    ) -> Result<Option<Begun>> {
        let mut notes = rows.notes.clone();
        let Some(first) = rows.next()? else { return Ok(None) };
        let Some(Noted { value: record, notes: found }) = rows.read(first, reading)? else {
            return Ok(None);
        };
        // What concerns all rows is told when all of them are read.
        notes.extend(found.into_iter().filter(|note| {
            !matches!(
                note.code,
                "promise-not-kept" | "rows-placed-by-number" | "marked-missing" | "bad-rows"
            ) && !TOLD_OF_PARTS.contains(&note.code)
        }));
        let (about, samples) = picked(record, channel)?;
        notes.extend(samples.notes);
        let sample_rate_hz = samples.value.sample_rate_hz();
        let column = ColumnChoice::Number(about.channels[0].number);
        rows.rewind()?;
        let data_bytes = Some(rows.size_bytes);
        let source = Self {
            rows,
            reading: reading.clone(),
            channel: ChannelOptions { column, ..channel.clone() },
            last_number: None,
            gaps: 0,
            found: Vec::new(),
        };
        Ok(Some(Begun { source: Box::new(source), about, sample_rate_hz, notes, data_bytes }))
    }

    /// Rows that the numbers skip between the part before and this one.
    fn rows_left_out(&self, first_number: Option<i64>) -> usize {
        let numbers = self.last_number.zip(first_number);
        let skipped = numbers.and_then(|(last, now)| now.checked_sub(last)?.checked_sub(1));
        let skipped = skipped.and_then(|rows| usize::try_from(rows).ok()).unwrap_or(0);
        if skipped > self.reading.limits.max_missing_rows { 0 } else { skipped }
    }

    fn tell(&mut self, note: Note) {
        let is_new = self.found.iter().all(|known| known.code != note.code);
        if is_new && TOLD_OF_PARTS.contains(&note.code) {
            self.found.push(note);
        }
    }
}

impl BlockSource for PartSource {
    fn next_block(&mut self, block_a: &mut Vec<f64>) -> Result<bool> {
        let Some(part) = self.rows.next()? else { return Ok(false) };
        let numbers = part.numbers;
        let left_out = self.rows_left_out(numbers.map(|(first, _)| first));
        let Some(Noted { value: record, notes }) = self.rows.read(part, &self.reading)? else {
            let line = self.rows.lines_done() + 1;
            self.tell(Note::new(
                "data-cut",
                format!("the last row, line {line}, breaks off and is not used"),
            ));
            return Ok(false);
        };
        block_a.extend(std::iter::repeat_n(f64::NAN, left_out));
        self.last_number = numbers.map(|(_, last)| last);
        for note in notes {
            self.tell(note);
        }
        let samples = record.current(&self.channel)?.value;
        let missing = samples.raw_a().iter().filter(|i_a| i_a.is_nan()).count();
        self.gaps += (left_out + missing) as u64;
        block_a.extend_from_slice(samples.raw_a());
        Ok(true)
    }

    fn done_bytes(&self) -> u64 {
        self.rows.done_bytes()
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
            && promised != self.rows.rows_done()
        {
            let (of, rows) = (self.rows.promise_of(), self.rows.rows_done() as usize);
            notes.push(promise_not_kept(of, promised as f64, rows));
        }
        notes
    }
}

use std::fs::File;
use std::io::Seek;

use rayon::prelude::*;

use crate::error::{Error, Note, Noted, Result};

use super::super::cells::Cell;
use super::super::line_reader::{LineReader, next_line, whole_lines};
use super::super::moment::Moment;
use super::super::table::blocks;
use super::super::{
    Channel, ChannelOptions, ColumnChoice, FileLayout, Layout, ReadOptions, Record, TimingSource,
    read_bytes,
};
use super::block_source::BlockSource;
use super::row::{Row, RowLayout};
use super::sample_stream::{Begun, picked};

/// A stamp may be this part of a step away from a whole number of steps.
const ON_GRID_STEPS: f64 = 0.3;
/// Stamps from which the usual step is found.
const STEP_STAMPS: usize = 2000;

/// A large text, read row by row.
#[derive(Debug)]
pub(super) struct TextSource {
    lines: LineReader<File>,
    size_bytes: u64,
    rows: RowLayout,
    /// The record with its current alone; its channel carries each block in turn.
    template: Record,
    options: ChannelOptions,
    lines_to_skip: usize,
    clock: Option<Clock>,
    most_missing_rows: usize,
    /// Rows without a value that count only once a value follows: a footer is no gap.
    gaps: usize,
    missing: Missing,
}

/// What was missing, counted.
#[derive(Clone, Copy, Debug, Default)]
struct Missing {
    rows_without_value: u64,
    rows_left_out: u64,
    coarse_from_row: Option<u64>,
    rows: u64,
}

/// The time column, followed from row to row.
#[derive(Debug)]
struct Clock {
    step: f64,
    first_moment: Option<Moment>,
    last: Option<f64>,
    rows_since_last: i64,
}

impl TextSource {
    /// Understands a text by its beginning.
    pub(super) fn begin(
        mut file: File,
        head: &[u8],
        reading: &ReadOptions,
        channel: &ChannelOptions,
    ) -> Result<Begun> {
        let whole = Some(whole_lines(head)).filter(|whole| *whole > 0).unwrap_or(head.len());
        let Noted { value: record, mut notes } = read_bytes(&head[..whole], reading)?;
        // What the header promises is about the whole file.
        notes.retain(|note| !matches!(note.code, "promise-not-kept" | "bad-rows"));
        let (about, samples) = picked(record, channel)?;
        notes.extend(samples.notes);
        let sample_rate_hz = samples.value.sample_rate_hz();
        let layout = text_layout(&about)?.clone();
        let rows = RowLayout {
            separator: layout.separator,
            mark: layout.decimal_mark,
            value: about.channels[0].number - 1,
            time: layout.time_column.map(|column| column - 1),
        };
        let even = about.timing.as_ref().is_some_and(|t| t.source == TimingSource::EvenStamps);
        let lines_to_skip = layout.first_data_line - 1;
        let failed = |source| Error::io("the file", source);
        let size_bytes = file.metadata().map_err(failed)?.len();
        file.rewind().map_err(failed)?;
        let mut lines =
            LineReader::new(file, size_bytes, reading.limits.piece_bytes).map_err(failed)?;
        let clock = if even {
            let (text, _) = lines.peek(lines_to_skip + STEP_STAMPS)?;
            Clock::of(&rows, text, lines_to_skip)
        } else {
            None
        };
        let number = about.channels[0].number;
        let options = ChannelOptions { column: ColumnChoice::Number(number), ..channel.clone() };
        let source = Self {
            lines,
            size_bytes,
            rows,
            template: about.clone(),
            options,
            lines_to_skip,
            clock,
            most_missing_rows: reading.limits.max_missing_rows,
            gaps: 0,
            missing: Missing::default(),
        };
        Ok(Begun { source: Box::new(source), about, sample_rate_hz, notes, data_bytes: None })
    }

    /// Takes the values of the next lines; false when there are none.
    fn take_lines(&mut self, values: &mut Vec<f64>) -> Result<bool> {
        let Some(mut text) = self.lines.next_piece()? else { return Ok(false) };
        while self.lines_to_skip > 0 && !text.is_empty() {
            text = next_line(text).1;
            self.lines_to_skip -= 1;
        }
        let rows = &self.rows;
        let read = |text: &&[u8]| rows.all(text);
        let parts: Vec<Vec<Row>> = blocks(text).par_iter().map(read).collect();
        for row in parts.into_iter().flatten() {
            self.take(row, values)?;
        }
        Ok(true)
    }

    fn take(&mut self, row: Row, values: &mut Vec<f64>) -> Result<()> {
        self.missing.rows += 1;
        if let (Some(clock), Some(cell)) = (&mut self.clock, row.time) {
            match clock.rows_left_out(cell) {
                Some(rows) if rows > self.most_missing_rows as i64 => {
                    return Err(Error::inconsistent(format!(
                        "the time column jumps over {rows} rows at row {}, more than {}",
                        self.missing.rows, self.most_missing_rows
                    ))
                    .with_hint("choose another time column, or none and give the sample rate"));
                }
                Some(rows) => {
                    // Fewer steps than rows: lines that were no samples, such as remarks.
                    self.gaps = self.gaps.saturating_add_signed(rows as isize);
                    self.missing.rows_left_out += u64::try_from(rows).unwrap_or(0);
                }
                None => {
                    self.missing.coarse_from_row.get_or_insert(self.missing.rows);
                    self.clock = None;
                }
            }
        }
        match row.value.filter(|_| row.whole) {
            Some(value) => {
                self.missing.rows_without_value += self.gaps as u64;
                values.extend(std::iter::repeat_n(f64::NAN, self.gaps));
                self.gaps = 0;
                values.push(value);
            }
            None => self.gaps += 1,
        }
        Ok(())
    }
}

impl BlockSource for TextSource {
    fn next_block(&mut self, block_a: &mut Vec<f64>) -> Result<bool> {
        let mut values = Vec::new();
        let goes_on = self.take_lines(&mut values)?;
        if !values.is_empty() {
            let channel = &self.template.channels[0];
            let (name, unit) = (channel.name.clone(), channel.unit.clone());
            self.template.channels[0] = Channel::new(channel.number, name, unit, values);
            block_a.extend_from_slice(self.template.current(&self.options)?.value.raw_a());
        }
        Ok(goes_on)
    }

    fn done_bytes(&self) -> u64 {
        self.size_bytes - self.lines.left_bytes().min(self.size_bytes)
    }

    fn notes(&self) -> Vec<Note> {
        let Missing { rows_without_value, rows_left_out, coarse_from_row, .. } = self.missing;
        let mut notes = Vec::new();
        if rows_without_value > 0 {
            notes.push(Note::new(
                "gaps",
                format!(
                    "{rows_without_value} samples are missing, {rows_left_out} of them rows the time column skips; no period is cut across a gap"
                ),
            ));
        }
        if let Some(row) = coarse_from_row {
            notes.push(Note::new(
                "coarse-time-stamps",
                format!(
                    "from row {row} on the time stamps are too coarse to place rows; rows are counted instead"
                ),
            ));
        }
        notes
    }
}

impl Clock {
    /// The usual step of the stamps at the beginning, if they have one.
    fn of(rows: &RowLayout, head: &[u8], lines_to_skip: usize) -> Option<Self> {
        rows.time?;
        let mut rest = head;
        for _ in 0..lines_to_skip {
            rest = next_line(rest).1;
        }
        let mut clock = Self { step: 0.0, first_moment: None, last: None, rows_since_last: 0 };
        let mut stamps: Vec<f64> = Vec::with_capacity(STEP_STAMPS);
        for _ in 0..STEP_STAMPS {
            let (line, more) = next_line(rest);
            rest = more;
            stamps.extend(rows.row(line).time.and_then(|cell| clock.stamp(cell)));
        }
        let mut steps: Vec<f64> = stamps.windows(2).map(|pair| pair[1] - pair[0]).collect();
        steps.sort_by(f64::total_cmp);
        clock.step = steps.get(steps.len() / 2).copied().filter(|step| *step > 0.0)?;
        Some(clock)
    }

    /// Rows that the stamps skip since the stamp before, negative for lines that are none; `None`
    /// when the stamps are no even clock.
    fn rows_left_out(&mut self, cell: Cell) -> Option<i64> {
        self.rows_since_last += 1;
        let Some(now) = self.stamp(cell) else { return Some(0) };
        let rows = std::mem::take(&mut self.rows_since_last);
        let Some(last) = self.last.replace(now) else { return Some(0) };
        let mut apart = now - last;
        // A time of day without a date starts again at midnight.
        if matches!(cell, Cell::Moment(moment) if !moment.has_date) && apart < -43_200.0 {
            apart += 86_400.0;
        }
        let steps = apart / self.step;
        let whole = steps.round();
        (whole >= 1.0 && (steps - whole).abs() <= ON_GRID_STEPS).then_some(whole as i64 - rows)
    }

    fn stamp(&mut self, cell: Cell) -> Option<f64> {
        match cell {
            Cell::Number(value) => Some(value),
            Cell::Moment(moment) => {
                let first = *self.first_moment.get_or_insert(moment);
                Some(moment.seconds_after(&first))
            }
            _ => None,
        }
    }
}

/// How a text was understood.
///
/// # Errors
/// `Malformed` when it was none.
fn text_layout(record: &Record) -> Result<&Layout> {
    match &record.layout {
        FileLayout::Text(layout) => Ok(layout),
        other => Err(Error::malformed("delimited text", other.format().words())),
    }
}

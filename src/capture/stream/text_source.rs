use std::fs::File;
use std::io::Read;

use crate::error::{Error, Note, Noted, Result};

use super::super::cells::Cell;
use super::super::moment::Moment;
use super::super::{
    Channel, ChannelOptions, ColumnChoice, FileLayout, Layout, ReadOptions, Record, TimingSource,
    read_bytes,
};
use super::block_source::BlockSource;
use super::row::RowLayout;
use super::sample_stream::{Begun, picked};

/// Bytes read at a time.
const CHUNK_BYTES: usize = 1 << 20;
/// A longer line is no row of numbers.
const LONGEST_LINE_BYTES: usize = 1 << 20;
/// A stamp may be this part of a step away from a whole number of steps.
const ON_GRID_STEPS: f64 = 0.3;
/// Stamps from which the usual step is found.
const STEP_STAMPS: usize = 2000;

/// A large text, read row by row.
#[derive(Debug)]
pub(super) struct TextSource {
    file: File,
    rows: RowLayout,
    /// The record with its current alone; its channel carries each block in turn.
    template: Record,
    options: ChannelOptions,
    pending: Vec<u8>,
    lines_to_skip: usize,
    at_end: bool,
    done_bytes: u64,
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
    /// Understands the beginning of a text; the file stands right behind it.
    pub(super) fn begin(
        file: File,
        head: Vec<u8>,
        reading: &ReadOptions,
        channel: &ChannelOptions,
    ) -> Result<Begun> {
        let end = head.iter().rposition(|byte| *byte == b'\n').map_or(head.len(), |at| at + 1);
        let Noted { value: record, mut notes } = read_bytes(&head[..end], reading)?;
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
        let clock = if even { Clock::of(&rows, &head[..end], lines_to_skip) } else { None };
        let number = about.channels[0].number;
        let options = ChannelOptions { column: ColumnChoice::Number(number), ..channel.clone() };
        let source = Self {
            file,
            rows,
            template: about.clone(),
            options,
            pending: head,
            lines_to_skip,
            at_end: false,
            done_bytes: 0,
            clock,
            most_missing_rows: reading.limits.max_missing_rows,
            gaps: 0,
            missing: Missing::default(),
        };
        Ok(Begun { source: Box::new(source), about, sample_rate_hz, notes, data_bytes: None })
    }

    /// Takes the values of the pending whole lines.
    fn take_lines(&mut self, values: &mut Vec<f64>) -> Result<()> {
        let bytes = std::mem::take(&mut self.pending);
        let mut rest = bytes.as_slice();
        while !rest.is_empty() {
            let end = rest.iter().position(|byte| *byte == b'\n');
            if end.is_none() && !self.at_end {
                break;
            }
            let line = &rest[..end.unwrap_or(rest.len())];
            rest = end.map_or(&[][..], |at| &rest[at + 1..]);
            if self.lines_to_skip > 0 {
                self.lines_to_skip -= 1;
                continue;
            }
            self.take_line(line, values)?;
        }
        if rest.len() > LONGEST_LINE_BYTES {
            return Err(Error::malformed("rows of numbers", "a line of more than a million bytes"));
        }
        self.pending = rest.to_vec();
        Ok(())
    }

    fn take_line(&mut self, line: &[u8], values: &mut Vec<f64>) -> Result<()> {
        let line = line.strip_suffix(b"\r").unwrap_or(line);
        let row = self.rows.row(line);
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
        self.done_bytes += self.pending.len() as u64;
        self.take_lines(&mut values)?;
        self.done_bytes -= self.pending.len() as u64;
        if !values.is_empty() {
            let channel = &self.template.channels[0];
            let (name, unit) = (channel.name.clone(), channel.unit.clone());
            self.template.channels[0] = Channel::new(channel.number, name, unit, values);
            block_a.extend_from_slice(self.template.current(&self.options)?.value.raw_a());
        }
        if self.at_end {
            return Ok(false);
        }
        let before = self.pending.len();
        let path = std::path::Path::new("the file");
        (&mut self.file)
            .take(CHUNK_BYTES as u64)
            .read_to_end(&mut self.pending)
            .map_err(|source| Error::io(path, source))?;
        self.at_end = self.pending.len() == before;
        Ok(true)
    }

    fn done_bytes(&self) -> u64 {
        self.done_bytes
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
        let lines = head.split(|byte| *byte == b'\n').skip(lines_to_skip).take(STEP_STAMPS);
        let mut clock = Self { step: 0.0, first_moment: None, last: None, rows_since_last: 0 };
        let stamps: Vec<f64> = lines.filter_map(|line| clock.stamp(rows.row(line).time?)).collect();
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

use std::ops::Range;
use std::sync::Arc;

use crate::capture::{ReadOptions, Record};
use crate::error::{Note, Noted, Result};

use super::ascii;
use super::assemble::{Part, Source, assemble};
use super::binary::row_bytes;
use super::configuration::Configuration;
use super::sections::{Section, choose};
use super::single::{leading_sections, next_heading};

/// A record of which some rows are read at a time, each time as a record of its own.
#[derive(Debug)]
pub(in crate::capture) struct LongRecord {
    configuration: Configuration,
    rate_hz: Option<f64>,
    single_file: bool,
    /// Bytes of a row; `None` where rows are lines of text.
    pub(in crate::capture) row_bytes: Option<usize>,
    /// Where the rows of the section stand in the file of the data.
    pub(in crate::capture) data: Range<u64>,
    /// Samples that the configuration promises, where the rows to come are all there are.
    pub(in crate::capture) promised: Option<u64>,
    /// What there is to say before the first row.
    pub(in crate::capture) notes: Vec<Note>,
}

/// Rows as a record of their own.
#[derive(Debug)]
pub(in crate::capture) struct SomeRows {
    pub(in crate::capture) read: Noted<Record>,
    /// Rows there were.
    pub(in crate::capture) count: usize,
}

impl LongRecord {
    /// A record in two files; `None` when it takes all rows at once to read it: without a sample rate,
    /// as text with several.
    ///
    /// # Errors
    /// As [`super::read_two_parts`] for the configuration and the section.
    pub(in crate::capture) fn in_two_files(
        configuration: &[u8],
        data_bytes: u64,
        options: &ReadOptions,
    ) -> Result<Option<Self>> {
        let configuration = Configuration::read(configuration, &options.limits)?;
        Self::of(configuration, 0..data_bytes, false, options)
    }

    /// A record in a single file by its beginning; `None` also when the heading of the data does not
    /// stand there or does not say how long they are.
    ///
    /// # Errors
    /// As [`Self::in_two_files`].
    pub(in crate::capture) fn in_one_file(
        head: &[u8],
        size_bytes: u64,
        options: &ReadOptions,
    ) -> Result<Option<Self>> {
        let Some((configuration, start, length)) = leading_sections(head) else { return Ok(None) };
        let configuration = Configuration::read(&head[configuration], &options.limits)
            .map_err(|error| error.with_context("section CFG"))?;
        // Rows of text end where the next heading stands; numbers may look like one.
        if length.is_none() && configuration.kind.coding().is_some() {
            return Ok(None);
        }
        let end = length.map_or(size_bytes, |length| start.saturating_add(length).min(size_bytes));
        Self::of(configuration, start.min(end)..end, true, options)
    }

    /// How many bytes of whole lines are rows: in a single file other sections may follow.
    pub(in crate::capture) fn rows_before_heading(&self, lines: &[u8]) -> usize {
        if self.single_file { next_heading(lines) } else { lines.len() }
    }

    /// Numbers of the first and of the last of some rows.
    pub(in crate::capture) fn numbers(&self, rows: &[u8]) -> Option<(i64, i64)> {
        let of = |row: &[u8]| row.first_chunk().map(|bytes| i64::from(u32::from_le_bytes(*bytes)));
        match self.row_bytes {
            Some(row_bytes) => {
                let last = (rows.len() / row_bytes).checked_sub(1)?;
                Some((of(rows)?, of(&rows[last * row_bytes..])?))
            }
            None => {
                let rows = rows.trim_ascii();
                let last = memchr::memrchr(b'\n', rows).map_or(rows, |at| &rows[at + 1..]);
                Some((ascii::row_number(rows)?, ascii::row_number(last)?))
            }
        }
    }

    fn of(
        configuration: Configuration,
        data: Range<u64>,
        single_file: bool,
        options: &ReadOptions,
    ) -> Result<Option<Self>> {
        let promised = configuration.rates.last().map_or(0, |(_, end)| *end);
        let row_bytes = configuration.kind.coding().map(|coding| row_bytes(&configuration, coding));
        let is_single_rate = configuration.rates.len() == 1;
        let (section, note) = match row_bytes {
            Some(row_bytes) => {
                let count = (data.end - data.start) as usize / row_bytes;
                choose(&configuration.rates, count, options.section)?
            }
            None if is_single_rate && options.section.is_none_or(|number| number == 1) => {
                let rate_hz = configuration.rates[0].0;
                (Section { rate_hz, rows: 0..promised }, None)
            }
            None => return Ok(None),
        };
        if options.sample_rate_hz.is_none() && section.rate_hz.is_none_or(|hz| hz <= 0.0) {
            return Ok(None);
        }
        let mut long = Self {
            configuration,
            rate_hz: section.rate_hz,
            single_file,
            row_bytes,
            promised: is_single_rate.then_some(promised as u64),
            notes: note.into_iter().collect(),
            data,
        };
        if let Some(row_bytes) = row_bytes.filter(|_| !is_single_rate) {
            let count = (long.data.end - long.data.start) as usize / row_bytes;
            if count != promised {
                long.notes.push(crate::capture::text::promise_not_kept(
                    "configuration",
                    promised as f64,
                    count,
                ));
            }
            let at = |row: usize| long.data.start + (row * row_bytes) as u64;
            // The last section has what follows its last whole row too.
            let end = if section.rows.end == count { long.data.end } else { at(section.rows.end) };
            long.data = at(section.rows.start)..end;
        }
        Ok(Some(long))
    }

    /// Some of the rows as a record of their own, behind `rows_before` others that were `lines_before`
    /// lines of text.
    ///
    /// # Errors
    /// As [`super::read_two_parts`].
    pub(in crate::capture) fn read(
        &self,
        rows: Vec<u8>,
        (rows_before, lines_before): (u64, u64),
        options: &ReadOptions,
    ) -> Result<SomeRows> {
        let range = 0..rows.len();
        let part = Part {
            rate_hz: self.rate_hz,
            rows_before: rows_before as usize,
            lines_before: lines_before as usize,
        };
        let (file, single_file) = (Arc::new(rows), self.single_file);
        let source = Source { file, data: range, single_file, part: Some(part) };
        assemble(&self.configuration, &source, options)
    }
}

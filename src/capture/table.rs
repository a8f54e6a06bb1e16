use csv::StringRecord;
use rayon::prelude::*;

use crate::error::{Error, Place, Result};

use super::block::{Block, Mark};
use super::detect::Found;
use super::moment::Moment;
use super::{Record, RowProblem};

/// Bytes of text read by one thread at a time: fixed, so that the result is the same on any number of
/// threads.
const BLOCK_BYTES: usize = 1 << 18;
/// Blocks read before they are put together: a text of any length holds no more of them at a time.
const BLOCKS_AT_ONCE: usize = 16;

/// The data columns as numbers, a row that carries none included.
#[derive(Debug, Default)]
pub(super) struct Table {
    pub(super) columns: Vec<Column>,
    pub(super) rows: usize,
    /// First rows that have text beside the data.
    pub(super) beside: Vec<StringRecord>,
    pub(super) problems: Vec<RowProblem>,
    pub(super) problem_count: usize,
    /// Rows without a value after the last sample, left out.
    pub(super) trailing_rows: usize,
}

/// One data column; moments are kept as seconds after the first one.
#[derive(Debug, Default)]
pub(super) struct Column {
    /// Place in the row, from 0.
    pub(super) place: usize,
    /// NaN where the file gives no finite value.
    pub(super) values: Vec<f64>,
    pub(super) first_moment: Option<Moment>,
}

impl Column {
    /// The data columns, still without rows.
    pub(super) fn of(found: &Found) -> Vec<Self> {
        found.data.iter().map(|place| Self { place: *place, ..Self::default() }).collect()
    }
}

impl Table {
    /// Reads every row from the first row of data on.
    ///
    /// # Errors
    /// `Malformed` when a quoted cell runs over the end of its line: what follows would be lost.
    pub(super) fn read(text: &str, found: &Found) -> Result<Self> {
        let skip = found.first_data_line - 1;
        let start = match skip {
            0 => 0,
            _ => memchr::memchr_iter(b'\n', text.as_bytes())
                .nth(skip - 1)
                .map_or(text.len(), |at| at + 1),
        };
        let mut table = Self { columns: Column::of(found), ..Self::default() };
        // Problems after the last row with a value belong to a footer and are dropped with it.
        let mut last_value = Mark::default();
        let texts = blocks(&text[start..]);
        let read = |(number, text): (usize, &&str)| Block::read(text, found, number == 0);
        let numbered: Vec<(usize, &&str)> = texts.iter().enumerate().collect();
        let batches = numbered
            .chunks(BLOCKS_AT_ONCE)
            .flat_map(|batch| batch.par_iter().copied().map(read).collect::<Vec<Block>>());
        for block in batches {
            if table.rows == 0 {
                let most = text.len() / (2 * found.data.len());
                table.reserve(most.min(block.rows * texts.len()));
            }
            if let Some(row) = block.unclosed_row {
                return Err(Error::malformed("a closing quote on the same line", "none")
                    .at(Place::line(found.first_data_line + table.rows + row - 1))
                    .with_hint("one stray quote hides every row after it"));
            }
            if block.last_value.rows > 0 {
                last_value = Mark {
                    rows: table.rows + block.last_value.rows,
                    problems: (table.problems.len() + block.last_value.problems)
                        .min(Record::MAX_PROBLEMS),
                    count: table.problem_count + block.last_value.count,
                };
            }
            table.append(block, found.first_data_line);
        }
        table.trailing_rows = table.rows - last_value.rows;
        table.rows = last_value.rows;
        table.problems.truncate(last_value.problems);
        table.problem_count = last_value.count;
        for column in &mut table.columns {
            column.values.truncate(last_value.rows);
        }
        Ok(table)
    }

    fn reserve(&mut self, rows: usize) {
        for column in &mut self.columns {
            column.values.reserve(rows + rows / 16);
        }
    }

    fn append(&mut self, block: Block, first_data_line: usize) {
        for (column, part) in self.columns.iter_mut().zip(block.columns) {
            column.append(part);
        }
        let room = Record::MAX_PROBLEMS - self.problems.len();
        self.problems.extend(block.problems.into_iter().take(room).map(|problem| {
            let row = self.rows + problem.row;
            RowProblem { row, line: first_data_line + row - 1, ..problem }
        }));
        self.problem_count += block.problem_count;
        self.rows += block.rows;
        self.beside.extend(block.beside);
    }
}

impl Column {
    /// Takes the rows that follow; their moments count from their own first one.
    fn append(&mut self, part: Self) {
        let later_s = match (self.first_moment, part.first_moment) {
            (Some(first), Some(own)) => own.seconds_after(&first),
            _ => 0.0,
        };
        self.first_moment = self.first_moment.or(part.first_moment);
        if later_s.abs() <= 0.0 {
            self.values.extend_from_slice(&part.values);
        } else {
            self.values.extend(part.values.iter().map(|since_s| later_s + since_s));
        }
    }
}

/// The text in parts of whole lines.
fn blocks(text: &str) -> Vec<&str> {
    let mut parts = Vec::with_capacity(text.len() / BLOCK_BYTES + 1);
    let mut from = 0;
    while from < text.len() {
        let near = text.as_bytes().get(from + BLOCK_BYTES..);
        let end = near
            .and_then(|rest| memchr::memchr(b'\n', rest))
            .map_or(text.len(), |at| from + BLOCK_BYTES + at + 1);
        parts.push(&text[from..end]);
        from = end;
    }
    parts
}

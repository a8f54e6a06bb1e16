use std::io::Read;

use csv::StringRecord;
use rayon::prelude::*;

use crate::error::{Error, Place, Result};

use super::block::{Block, Mark};
use super::detect::Found;
use super::line_reader::{LineReader, next_line};
use super::moment::Moment;
use super::{Encoding, Record, RowProblem};

/// Bytes of text in a block, of which one thread reads two at a time: fixed, so that the result is the same on any number of
/// threads.
const BLOCK_BYTES: usize = 1 << 18;

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
    /// Reads every row from the first row of data on; `lines` stands at the beginning of the text.
    /// `None` when a text that began as UTF-8 is none.
    ///
    /// # Errors
    /// `Malformed` when a quoted cell runs over the end of its line: what follows would be lost; as
    /// the source.
    pub(super) fn read<R: Read + Send>(
        mut lines: LineReader<R>,
        encoding: Encoding,
        found: &Found,
    ) -> Result<Option<Self>> {
        let mut rows = Rows {
            table: Self { columns: Column::of(found), ..Self::default() },
            last_value: Mark::default(),
            first_data_line: found.first_data_line,
        };
        let mut lines_to_skip = found.first_data_line - 1;
        let mut first = true;
        let mut read: Vec<Block> = Vec::new();
        loop {
            // While the next piece is read, the one before is put in its place.
            let (next, done) = rayon::join(
                || next_blocks(&mut lines, &mut lines_to_skip, encoding, found, first),
                || rows.extend(std::mem::take(&mut read)),
            );
            done?;
            let Some(next) = next? else { break };
            if next.iter().any(|block| block.is_other_encoding) {
                return Ok(None);
            }
            if first {
                let of_text: usize = next.iter().map(|block| block.rows).sum();
                let pieces = lines.left_bytes() as usize / lines.piece_bytes();
                rows.table.reserve(of_text, pieces);
            }
            first &= next.is_empty();
            read = next;
        }
        Ok(Some(rows.finish()))
    }

    /// Makes room for all rows when some stand in the first piece and `pieces` like it follow.
    fn reserve(&mut self, rows: usize, pieces: usize) {
        let rows = rows.saturating_mul(pieces + 2);
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

/// A table that grows block by block.
struct Rows {
    table: Table,
    /// Problems after the last row with a value belong to a footer and are dropped with it.
    last_value: Mark,
    first_data_line: usize,
}

impl Rows {
    fn extend(&mut self, blocks: Vec<Block>) -> Result<()> {
        for block in blocks {
            let table = &mut self.table;
            if let Some(row) = block.unclosed_row {
                return Err(Error::malformed("a closing quote on the same line", "none")
                    .at(Place::line(self.first_data_line + table.rows + row - 1))
                    .with_hint("one stray quote hides every row after it"));
            }
            if block.last_value.rows > 0 {
                self.last_value = Mark {
                    rows: table.rows + block.last_value.rows,
                    problems: (table.problems.len() + block.last_value.problems)
                        .min(Record::MAX_PROBLEMS),
                    count: table.problem_count + block.last_value.count,
                };
            }
            table.append(block, self.first_data_line);
        }
        Ok(())
    }

    fn finish(self) -> Table {
        let Self { mut table, last_value, .. } = self;
        table.trailing_rows = table.rows - last_value.rows;
        table.rows = last_value.rows;
        table.problems.truncate(last_value.problems);
        table.problem_count = last_value.count;
        for column in &mut table.columns {
            column.values.truncate(last_value.rows);
        }
        table
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

/// The next piece of text as blocks, read on all threads; `None` at the end.
fn next_blocks<R: Read>(
    lines: &mut LineReader<R>,
    lines_to_skip: &mut usize,
    encoding: Encoding,
    found: &Found,
    first: bool,
) -> Result<Option<Vec<Block>>> {
    let Some(mut text) = lines.next_piece()? else { return Ok(None) };
    while *lines_to_skip > 0 && !text.is_empty() {
        text = next_line(text).1;
        *lines_to_skip -= 1;
    }
    let texts = blocks(text);
    let read = |(number, texts): (usize, &[&[u8]])| {
        let texts = [texts[0], texts.get(1).copied().unwrap_or(&[])];
        Block::read_two(texts, found, encoding, first && number == 0)
    };
    let pairs: Vec<[Block; 2]> = texts.par_chunks(2).enumerate().map(read).collect();
    Ok(Some(pairs.into_iter().flatten().collect()))
}

/// The text in parts of whole lines.
pub(super) fn blocks(text: &[u8]) -> Vec<&[u8]> {
    let mut parts = Vec::with_capacity(text.len() / BLOCK_BYTES + 1);
    let mut rest = text;
    while !rest.is_empty() {
        let near =
            rest.get(BLOCK_BYTES..).map_or(rest.len(), |far| rest.len() - next_line(far).1.len());
        let (part, more) = rest.split_at(near);
        parts.push(part);
        rest = more;
    }
    parts
}

use std::ops::ControlFlow;

use csv::StringRecord;

use crate::error::{Error, Place, Result};

use super::cells::Cell;
use super::detect::Found;
use super::moment::Moment;
use super::rows::{for_each_row, prepared};
use super::{Record, RowProblem, RowProblemKind};

/// Rows of data whose other columns are searched for metadata.
const BESIDE_ROWS: usize = 200;
/// Characters of a bad row or cell that a message quotes.
const QUOTED: usize = 40;

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

impl Table {
    /// Reads every row from the first row of data on.
    ///
    /// # Errors
    /// `Malformed` when a quoted cell runs over the end of its line: what follows would be lost.
    pub(super) fn read(text: &str, found: &Found) -> Result<Self> {
        let mut table = Self {
            columns: found
                .data
                .iter()
                .map(|place| Column { place: *place, ..Column::default() })
                .collect(),
            ..Self::default()
        };
        let mut broken = None;
        // Problems after the last row with a value belong to a footer and are dropped with it.
        let mut last_value = Mark::default();
        for_each_row(&prepared(text, found.separator), found.separator, |line, record| {
            if line < found.first_data_line {
                return ControlFlow::Continue(());
            }
            if record.iter().any(|cell| cell.contains('\n')) {
                broken = Some(line);
                return ControlFlow::Break(());
            }
            if table.push(line, record, found) {
                last_value = Mark {
                    rows: table.rows,
                    problems: table.problems.len(),
                    count: table.problem_count,
                };
            }
            ControlFlow::Continue(())
        })?;
        if let Some(line) = broken {
            return Err(Error::malformed("a closing quote on the same line", "none")
                .at(Place::line(line))
                .with_hint("one stray quote hides every row after it"));
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

    /// Takes one row; whether it is a row of data, even one with cells that cannot be used.
    fn push(&mut self, line: usize, record: &StringRecord, found: &Found) -> bool {
        self.rows += 1;
        let row = self.rows;
        // A row that ends early may have ended in the middle of its last number.
        let whole = if found.data.iter().all(|place| *place < record.len()) {
            record.len()
        } else {
            record.len().saturating_sub(1)
        };
        let cells: Vec<Cell> = found
            .data
            .iter()
            .map(|place| record.get(*place).filter(|_| *place < whole).unwrap_or(""))
            .map(|text| Cell::of(text, found.decimal_mark))
            .collect();
        let any_value = cells.iter().any(Cell::is_value);
        for (column, cell) in self.columns.iter_mut().zip(&cells) {
            column.push(*cell);
        }
        if !any_value {
            let kind = if record.iter().all(str::is_empty) {
                RowProblemKind::EmptyRow
            } else if record.iter().all(|cell| Cell::of(cell, found.decimal_mark).is_value()) {
                RowProblemKind::ShortRow
            } else {
                RowProblemKind::TextRow(quoted(&record.iter().collect::<Vec<_>>().join(" ")))
            };
            self.problem(RowProblem { row, line, column: None, kind });
            return false;
        }
        for (place, cell) in found.data.iter().zip(&cells) {
            if *place >= whole {
                let kind = RowProblemKind::ShortRow;
                self.problem(RowProblem { row, line, column: Some(place + 1), kind });
                break;
            }
            let text = record.get(*place);
            let kind = match (cell, text) {
                (Cell::Number(_) | Cell::Moment(_), _) => continue,
                (Cell::Empty, _) | (_, None) => RowProblemKind::EmptyCell,
                (Cell::NonFinite, Some(text)) => RowProblemKind::NonFinite(quoted(text)),
                (Cell::Overload | Cell::Text, Some(text)) => RowProblemKind::TextCell(quoted(text)),
            };
            self.problem(RowProblem { row, line, column: Some(place + 1), kind });
        }
        // Cells beside the first rows may be metadata, so only what lies beyond them is surplus.
        if record.len() > found.width {
            let kind = RowProblemKind::SurplusCells;
            self.problem(RowProblem { row, line, column: Some(found.width + 1), kind });
        }
        if row <= BESIDE_ROWS {
            let beside =
                |(place, cell): (usize, &str)| !found.data.contains(&place) && !cell.is_empty();
            if record.iter().enumerate().any(beside) {
                self.beside.push(record.clone());
            }
        }
        true
    }

    fn problem(&mut self, problem: RowProblem) {
        self.problem_count += 1;
        if self.problems.len() < Record::MAX_PROBLEMS {
            self.problems.push(problem);
        }
    }
}

impl Column {
    fn push(&mut self, cell: Cell) {
        self.values.push(match cell {
            Cell::Number(value) => value,
            Cell::Moment(moment) => {
                let first = *self.first_moment.get_or_insert(moment);
                let mut since_s = moment.since_s(&first);
                // A time of day without a date starts again at midnight.
                if !moment.has_date && since_s < -43_200.0 {
                    since_s += 86_400.0;
                }
                since_s
            }
            Cell::Empty | Cell::NonFinite | Cell::Overload | Cell::Text => f64::NAN,
        });
    }
}

#[derive(Clone, Copy, Default)]
struct Mark {
    rows: usize,
    problems: usize,
    count: usize,
}

fn quoted(text: &str) -> String {
    if text.chars().count() <= QUOTED {
        return text.to_owned();
    }
    text.chars().take(QUOTED - 1).chain(['…']).collect()
}

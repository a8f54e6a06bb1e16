use crate::capture::number::plain_number;
use crate::capture::{Record, RowProblem, RowProblemKind};
use crate::error::{Error, Note, Result};

use super::DataKind;
use super::configuration::Configuration;
use super::rows::{Columns, Rows, Stamps};

/// The rows of data written as text, behind `lines_before` others.
///
/// # Errors
/// `Malformed` when there is not a single row.
pub(super) fn read(
    configuration: &Configuration,
    bytes: &[u8],
    promised: usize,
    lines_before: usize,
) -> Result<Rows> {
    let analog = configuration.analog.len();
    let mut reader = Reader {
        width: 2 + analog + configuration.status,
        columns: vec![Vec::new(); analog],
        numbers: Vec::new(),
        stamps: Vec::new(),
        problems: Vec::new(),
        problem_count: 0,
        marked: 0,
    };
    let end =
        bytes.iter().rposition(|byte| !matches!(byte, 0x1A | b' ' | 0)).map_or(0, |at| at + 1);
    let mut rest = &bytes[..end];
    let mut line = lines_before;
    let mut cut = None;
    let mut open = false;
    while !rest.is_empty() {
        line += 1;
        let end = memchr::memchr(b'\n', rest);
        let row = rest[..end.unwrap_or(rest.len())].trim_ascii();
        rest = end.map_or(&[], |at| &rest[at + 1..]);
        if row.is_empty() {
            continue;
        }
        // A last line without its end may have lost the last digits of its last number; only where
        // nothing else is missing is it taken for a whole one.
        let cells = || 1 + memchr::memchr_iter(b',', row).count();
        if end.is_none() && (reader.numbers.len() + 1 < promised || cells() < reader.width) {
            cut = Some(line);
            continue;
        }
        open = end.is_none();
        reader.push(row, line);
    }
    let mut notes = Vec::new();
    if let Some(line) = cut {
        notes.push(Note::new(
            "data-cut",
            format!("the last row, line {line}, breaks off and is not used"),
        ));
    }
    if open {
        notes.push(Note::new(
            "last-row-open",
            "the last row has no line end; should the file be cut there, its last number is wrong",
        ));
    }
    if reader.numbers.is_empty() {
        return Err(Error::malformed("samples", "not a single whole row of data"));
    }
    if reader.marked > 0 {
        let marked = reader.marked;
        notes.push(Note::new(
            "marked-missing",
            format!("{marked} values are marked as missing and stay gaps"),
        ));
    }
    let first = reader.numbers[0];
    let even = reader.numbers.iter().enumerate().all(|(k, n)| (n - first - k as f64).abs() < 0.5);
    Ok(Rows {
        count: reader.numbers.len(),
        numbers: (!even).then_some(reader.numbers),
        columns: Columns::Plain(reader.columns),
        stamps: Stamps::Plain(reader.stamps),
        problems: reader.problems,
        problem_count: reader.problem_count,
        notes,
    })
}

struct Reader {
    width: usize,
    columns: Vec<Vec<f64>>,
    numbers: Vec<f64>,
    stamps: Vec<f64>,
    problems: Vec<RowProblem>,
    problem_count: usize,
    /// Values that carry the code for a missing one.
    marked: usize,
}

impl Reader {
    fn push(&mut self, row: &[u8], line: usize) {
        let mut cells = row.split(|byte| *byte == b',').map(<[u8]>::trim_ascii);
        self.numbers.push(cells.next().and_then(number).unwrap_or(f64::NAN));
        self.stamps.push(cells.next().and_then(number).unwrap_or(f64::NAN));
        let mut count = 2;
        for at in 0..self.columns.len() {
            let cell = cells.next();
            count += usize::from(cell.is_some());
            let value = match cell {
                None => f64::NAN,
                Some(b"") => {
                    self.marked += 1;
                    f64::NAN
                }
                Some(cell) => match number(cell) {
                    Some(value) if is_missing(value) => {
                        self.marked += 1;
                        f64::NAN
                    }
                    Some(value) => value,
                    None => {
                        let text =
                            String::from_utf8_lossy(&cell[..cell.len().min(40)]).into_owned();
                        self.problem(line, Some(at + 3), RowProblemKind::TextCell(text));
                        f64::NAN
                    }
                },
            };
            self.columns[at].push(value);
        }
        count += cells.count();
        if count < self.width {
            self.problem(line, Some(count + 1), RowProblemKind::ShortRow);
            // The last number of a row that ends early may be cut.
            if let Some(column) = count.checked_sub(3).and_then(|at| self.columns.get_mut(at))
                && let Some(last) = column.last_mut()
            {
                *last = f64::NAN;
            }
        } else if count > self.width {
            self.problem(line, Some(self.width + 1), RowProblemKind::SurplusCells);
        }
    }

    fn problem(&mut self, line: usize, column: Option<usize>, kind: RowProblemKind) {
        self.problem_count += 1;
        if self.problems.len() < Record::MAX_PROBLEMS {
            self.problems.push(RowProblem { row: self.numbers.len(), line, column, kind });
        }
    }
}

/// The number that a row begins with, when it is a whole one.
pub(super) fn row_number(row: &[u8]) -> Option<i64> {
    let cell = row.split(|byte| *byte == b',').next()?;
    number(cell.trim_ascii())
        .filter(|number| number.fract().abs() <= 0.0)
        .map(|number| number as i64)
}

/// A finite number.
fn number(cell: &[u8]) -> Option<f64> {
    plain_number(cell, b'.')
        .or_else(|| std::str::from_utf8(cell).ok()?.parse().ok())
        .filter(|value: &f64| value.is_finite())
}

fn is_missing(value: f64) -> bool {
    DataKind::Ascii.missing().is_some_and(|code| (value - f64::from(code)).abs() < 0.5)
}

use std::borrow::Cow;

use csv::StringRecord;

use super::cells::Cell;
use super::decode::latin1;
use super::detect::Found;
use super::line_reader::next_line;
use super::number::leading_number;
use super::table::Column;
use super::{DecimalMark, Encoding, Record, RowProblem, RowProblemKind, Separator};

/// Rows of data whose other columns are searched for metadata.
const BESIDE_ROWS: usize = 200;
/// Characters of a bad row or cell that a message quotes.
const QUOTED: usize = 40;

/// The rows in one part of a text; rows are counted from 1 within it.
#[derive(Debug, Default)]
pub(super) struct Block {
    pub(super) columns: Vec<Column>,
    pub(super) rows: usize,
    pub(super) beside: Vec<StringRecord>,
    /// Their lines are not known here.
    pub(super) problems: Vec<RowProblem>,
    pub(super) problem_count: usize,
    /// How far the block had come at its last row with a value.
    pub(super) last_value: Mark,
    /// A row in which a quoted cell has no end; nothing after it was read.
    pub(super) unclosed_row: Option<usize>,
    /// A byte that is no UTF-8 in a text that began as such; nothing after it was read.
    pub(super) is_other_encoding: bool,
}

/// How far reading has come.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Mark {
    pub(super) rows: usize,
    pub(super) problems: usize,
    pub(super) count: usize,
}

impl Block {
    /// Reads two texts of whole lines; the second may be empty. Only the first block of a file looks for
    /// metadata beside the data.
    ///
    /// Rows of nothing but numbers are taken in turn, one from each text: where a number ends must be known
    /// before the next can be read, and meanwhile the processor works on the other text.
    pub(super) fn read_two(
        texts: [&[u8]; 2],
        found: &Found,
        encoding: Encoding,
        first: bool,
    ) -> [Self; 2] {
        let [mut one, mut two] = texts.map(|text| Self::for_text(text, found));
        let [mut rest_one, mut rest_two] = texts;
        if let Some((separator, mark)) = plain(found) {
            let (mut rows_one, mut rows_two) = (0, 0);
            while !rest_one.is_empty() && !rest_two.is_empty() {
                let Some(after) = plain_row(&mut one.columns, rest_one, separator, mark) else {
                    break;
                };
                (rest_one, rows_one) = (after, rows_one + 1);
                let Some(after) = plain_row(&mut two.columns, rest_two, separator, mark) else {
                    break;
                };
                (rest_two, rows_two) = (after, rows_two + 1);
            }
            one.count(rows_one);
            two.count(rows_two);
        }
        one.read_on(rest_one, found, encoding, first);
        two.read_on(rest_two, found, encoding, false);
        [one, two]
    }

    /// A block with room for the rows of a text: as many as lines like its first one would be and some
    /// more, none shorter than its cells.
    fn for_text(text: &[u8], found: &Found) -> Self {
        let mut block = Self { columns: Column::of(found), ..Self::default() };
        let line = text.len() - next_line(text).1.len();
        let rows = text.len() / line.max(2 * found.data.len()).max(1);
        for column in &mut block.columns {
            column.values.reserve(rows + rows / 8 + 1);
        }
        block
    }

    /// Reads the lines that follow, as far as they can be read.
    fn read_on(&mut self, text: &[u8], found: &Found, encoding: Encoding, first: bool) {
        let plain = plain(found);
        let mut rest = text;
        while !rest.is_empty() {
            if let Some((separator, mark)) = plain
                && let Some(after) = plain_row(&mut self.columns, rest, separator, mark)
            {
                rest = after;
                self.count(1);
                continue;
            }
            let (line, after) = next_line(rest);
            rest = after;
            let line: Cow<'_, str> = match encoding {
                Encoding::Latin1 if !line.is_ascii() => latin1(line),
                _ => match std::str::from_utf8(line) {
                    Ok(line) => line.into(),
                    Err(_) => {
                        self.is_other_encoding = true;
                        return;
                    }
                },
            };
            if !self.push_line(&line, found, first) {
                self.unclosed_row = Some(self.rows + 1);
                return;
            }
        }
    }

    /// Takes a line of any kind, and says whether its quoted cells have an end.
    fn push_line(&mut self, line: &str, found: &Found, first: bool) -> bool {
        if line.contains('"') {
            let Some(record) = quoted_cells(line, found.separator) else { return false };
            let cells: Vec<&str> = record.iter().collect();
            self.push(&cells, found, first);
        } else {
            let mut cells: Vec<&str> = Vec::with_capacity(found.width);
            split(line, found.separator, &mut cells);
            self.push(&cells, found, first);
        }
        true
    }

    /// Takes one row, whatever it holds.
    fn push(&mut self, record: &[&str], found: &Found, first: bool) {
        self.rows += 1;
        let row = self.rows;
        // A row that ends early may have ended in the middle of its last number.
        let whole = if found.data.iter().all(|place| *place < record.len()) {
            record.len()
        } else {
            record.len().saturating_sub(1)
        };
        let mut any_value = false;
        let mut amiss = Vec::new();
        let mut ended = false;
        for (at, place) in found.data.iter().enumerate() {
            let text = record.get(*place).copied().filter(|_| *place < whole);
            let cell = kept(text.unwrap_or(""), found.decimal_mark, found.moments[at]);
            any_value |= cell.is_value();
            self.columns[at].push(cell);
            let kind = match (cell, text) {
                (Cell::Number(_) | Cell::Moment(_), _) => continue,
                (_, None) if ended => continue,
                (_, None) => RowProblemKind::ShortRow,
                (Cell::Empty, _) => RowProblemKind::EmptyCell,
                (Cell::NonFinite, Some(text)) => RowProblemKind::NonFinite(quoted(text)),
                (Cell::Overload | Cell::Text, Some(text)) => RowProblemKind::TextCell(quoted(text)),
            };
            ended |= kind == RowProblemKind::ShortRow;
            amiss.push((place + 1, kind));
        }
        if !any_value {
            let kind = if record.iter().all(|cell| cell.is_empty()) {
                RowProblemKind::EmptyRow
            } else if record.iter().all(|cell| Cell::of(cell, found.decimal_mark).is_value()) {
                RowProblemKind::ShortRow
            } else {
                RowProblemKind::TextRow(quoted(&record.join(" ")))
            };
            self.problem(row, None, kind);
            return;
        }
        for (column, kind) in amiss {
            self.problem(row, Some(column), kind);
        }
        // Cells beside the first rows may be metadata, so only what lies beyond them is surplus.
        if record.len() > found.width {
            self.problem(row, Some(found.width + 1), RowProblemKind::SurplusCells);
        }
        if first && row <= BESIDE_ROWS {
            let beside =
                |(place, cell): (usize, &&str)| !found.data.contains(&place) && !cell.is_empty();
            if record.iter().enumerate().any(beside) {
                self.beside.push(StringRecord::from(record.to_vec()));
            }
        }
        self.mark();
    }

    /// Counts rows that were taken whole.
    fn count(&mut self, rows: usize) {
        self.rows += rows;
        if rows > 0 {
            self.mark();
        }
    }

    fn mark(&mut self) {
        self.last_value =
            Mark { rows: self.rows, problems: self.problems.len(), count: self.problem_count };
    }

    fn problem(&mut self, row: usize, column: Option<usize>, kind: RowProblemKind) {
        self.problem_count += 1;
        if self.problems.len() < Record::MAX_PROBLEMS {
            self.problems.push(RowProblem { row, line: 0, column, kind });
        }
    }
}

/// Takes a row of nothing but numbers at the beginning of a text, a value into each column, and hands
/// back what follows the end of its line; `None` for any other row. The usual case, made quick.
#[inline(always)]
fn plain_row<'t>(
    columns: &mut [Column],
    text: &'t [u8],
    separator: u8,
    mark: u8,
) -> Option<&'t [u8]> {
    let mut rest = text;
    let mut ended = false;
    let mut taken = 0;
    for column in columns.iter_mut() {
        let cell = if ended { None } else { leading_number(without_blanks(rest), mark) };
        let Some((value, after)) = cell else { break };
        let after = without_blanks(after);
        (rest, ended) = match after {
            [] => (after, true),
            [b'\n', more @ ..] | [b'\r', b'\n', more @ ..] | [b'\r', more @ ..] => (more, true),
            [next, more @ ..] if *next == separator => (more, false),
            _ => break,
        };
        column.values.push(value);
        taken += 1;
    }
    if ended && taken == columns.len() {
        return Some(rest);
    }
    for column in &mut columns[..taken] {
        column.values.pop();
    }
    None
}

/// Separator and decimal mark where rows may be nothing but numbers: every cell is data, and a comma
/// means one thing.
fn plain(found: &Found) -> Option<(u8, u8)> {
    let (separator, mark) = (found.separator.byte(), found.decimal_mark.byte());
    let plain = found.data.len() == found.width
        && separator != mark
        && found.separator != Separator::Blanks;
    plain.then_some((separator, mark))
}

impl Column {
    fn push(&mut self, cell: Cell) {
        self.values.push(match cell {
            Cell::Number(value) => value,
            Cell::Moment(moment) => {
                let first = *self.first_moment.get_or_insert(moment);
                moment.seconds_after(&first)
            }
            Cell::Empty | Cell::NonFinite | Cell::Overload | Cell::Text => f64::NAN,
        });
    }
}

/// The text from its first byte that is no blank; a tab may be the separator and stays.
pub(super) fn without_blanks(mut text: &[u8]) -> &[u8] {
    while let [b' ', more @ ..] = text {
        text = more;
    }
    text
}

/// A cell, where what is no number in a column of numbers and no moment in a column of moments is text.
fn kept(text: &str, mark: DecimalMark, moments: bool) -> Cell {
    match Cell::of(text, mark) {
        Cell::Moment(_) if !moments => Cell::Text,
        Cell::Number(_) | Cell::NonFinite if moments => Cell::Text,
        cell => cell,
    }
}

/// The trimmed cells of a line without quotes; none for an empty line.
fn split<'l>(line: &'l str, separator: Separator, cells: &mut Vec<&'l str>) {
    if line.trim().is_empty() {
        return;
    }
    match separator {
        Separator::Blanks => cells.extend(line.split_whitespace()),
        Separator::None => cells.push(line.trim()),
        _ => cells.extend(line.split(char::from(separator.byte())).map(str::trim)),
    }
}

/// The cells of a line with quotes in it; `None` when a quoted cell has no end.
fn quoted_cells(line: &str, separator: Separator) -> Option<StringRecord> {
    let text = super::rows::prepared(line, separator);
    let text = text.strip_suffix('\n').unwrap_or(&text);
    // An open quote swallows the line feed.
    let text = format!("{text}\n");
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(separator.byte())
        .has_headers(false)
        .flexible(true)
        .from_reader(text.as_bytes());
    let mut record = StringRecord::new();
    let read = reader.read_record(&mut record).unwrap_or(false);
    let open = record.iter().any(|cell| cell.contains('\n'));
    record.trim();
    (read && !open).then_some(record)
}

fn quoted(text: &str) -> String {
    if text.chars().count() <= QUOTED {
        return text.to_owned();
    }
    text.chars().take(QUOTED - 1).chain(['…']).collect()
}

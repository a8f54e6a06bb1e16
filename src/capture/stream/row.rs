use super::super::block::without_blanks;
use super::super::cells::Cell;
use super::super::line_reader::next_line;
use super::super::number::leading_number;
use super::super::rows::prepared;
use super::super::{DecimalMark, Separator};

/// Where in a row the current and the time stand.
#[derive(Clone, Copy, Debug)]
pub(super) struct RowLayout {
    pub(super) separator: Separator,
    pub(super) mark: DecimalMark,
    /// Place of the current, from 0.
    pub(super) value: usize,
    /// Place of the time, from 0.
    pub(super) time: Option<usize>,
}

/// What one row says.
#[derive(Clone, Copy, Debug)]
pub(super) struct Row {
    /// The current in the file's unit; `None` where there is no finite number.
    pub(super) value: Option<f64>,
    /// The time cell.
    pub(super) time: Option<Cell>,
    /// Whether a row of the usual length stands here.
    pub(super) whole: bool,
}

impl RowLayout {
    /// Reads whole lines.
    pub(super) fn all(&self, text: &[u8]) -> Vec<Row> {
        let (first, after) = next_line(text);
        let mut rows = Vec::with_capacity(text.len() / (text.len() - after.len()).max(8) + 1);
        rows.push(self.row(first));
        let mut rest = after;
        while !rest.is_empty() {
            let (line, after) = next_line(rest);
            rows.push(self.row(line));
            rest = after;
        }
        rows
    }

    /// Reads one line without its end.
    pub(super) fn row(&self, line: &[u8]) -> Row {
        if let Some(row) = self.plain(line) {
            return row;
        }
        if line.contains(&b'"') {
            return self.quoted(line);
        }
        match self.separator {
            Separator::Blanks => {
                self.of_cells(line.split(u8::is_ascii_whitespace).filter(|cell| !cell.is_empty()))
            }
            Separator::None => self.of_cells(std::iter::once(line)),
            separator => {
                let byte = separator.byte();
                self.of_cells(line.split(move |other| *other == byte))
            }
        }
    }

    /// A row whose cells up to the last one wanted are plainly written; the usual case, made quick.
    fn plain(&self, line: &[u8]) -> Option<Row> {
        let (separator, mark) = (self.separator.byte(), self.mark.byte());
        if self.separator == Separator::Blanks || separator == mark {
            return None;
        }
        let last = self.value.max(self.time.unwrap_or(0));
        let (mut value, mut time, mut rest) = (None, None, line);
        for place in 0..=last {
            let (is_value, is_time) = (place == self.value, Some(place) == self.time);
            let after = if is_value || is_time {
                let (number, after) = leading_number(without_blanks(rest), mark)?;
                value = value.or(is_value.then_some(number));
                time = time.or(is_time.then_some(Cell::Number(number)));
                without_blanks(after)
            } else {
                let at = memchr::memchr2(separator, b'"', rest)?;
                &rest[at..]
            };
            rest = match after {
                [next, more @ ..] if *next == separator => more,
                [] if place == last => after,
                _ => return None,
            };
        }
        Some(Row { value, time, whole: true })
    }

    fn of_cells<'l>(&self, cells: impl Iterator<Item = &'l [u8]>) -> Row {
        let last = self.value.max(self.time.unwrap_or(0));
        let (mut value, mut time, mut seen) = (None, None, 0);
        for (place, cell) in cells.enumerate().take(last + 1) {
            seen = place;
            if place == self.value {
                value = self.number(cell);
            }
            if Some(place) == self.time {
                let text = std::str::from_utf8(cell).unwrap_or("");
                time = Some(Cell::of(text, self.mark));
            }
        }
        Row { value, time, whole: seen == last }
    }

    /// A row with quoted cells: a separator may stand inside the quotes.
    fn quoted(&self, line: &[u8]) -> Row {
        let text: String = line.iter().map(|byte| char::from(*byte)).collect();
        let text = prepared(&text, self.separator);
        let mut reader = csv::ReaderBuilder::new()
            .delimiter(self.separator.byte())
            .has_headers(false)
            .flexible(true)
            .from_reader(text.as_bytes());
        let mut record = csv::ByteRecord::new();
        match reader.read_byte_record(&mut record) {
            Ok(true) => self.of_cells(record.iter()),
            _ => Row { value: None, time: None, whole: false },
        }
    }

    fn number(&self, cell: &[u8]) -> Option<f64> {
        let text = std::str::from_utf8(cell.trim_ascii()).ok()?;
        match Cell::of(text, self.mark) {
            Cell::Number(value) => Some(value),
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exact_rows_told_by_hand() {
        let layout = RowLayout {
            separator: Separator::Semicolon,
            mark: DecimalMark::Comma,
            value: 1,
            time: Some(0),
        };
        let row = layout.row(b"0,5; -1,25 ;9");
        assert_eq!((row.value, row.whole), (Some(-1.25), true));
        assert_eq!(row.time, Some(Cell::Number(0.5)));
        assert_eq!(
            layout.row(b"\"0,5\";\"2,5\"").value,
            Some(2.5),
            "quotes are no part of a number"
        );
        let short = layout.row(b"0,5");
        assert_eq!((short.value, short.whole), (None, false));
        assert_eq!(layout.row(b"0,5;OL").value, None, "an overload is a gap");
        let blanks = RowLayout {
            separator: Separator::Blanks,
            mark: DecimalMark::Point,
            value: 1,
            time: None,
        };
        assert_eq!(blanks.row(b"  1.0 \t 2.5  3").value, Some(2.5));
    }
}

use std::borrow::Cow;
use std::ops::ControlFlow;

use csv::StringRecord;

use crate::error::{Error, Place, Result};

use super::Separator;

/// Runs through the rows of a text, empty ones included (as a record without cells), with their
/// line counted from 1.
///
/// # Errors
/// `Malformed` when the text cannot be split; what `each` breaks off with is no error.
pub(super) fn for_each_row(
    text: &str,
    separator: Separator,
    mut each: impl FnMut(usize, &StringRecord) -> ControlFlow<()>,
) -> Result<()> {
    // Lines are counted by their ends, so the last one needs one.
    let text: Cow<'_, str> =
        if text.ends_with('\n') { text.into() } else { format!("{text}\n").into() };
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(separator.byte())
        .has_headers(false)
        .flexible(true)
        // A carriage return before the line feed goes with the blanks; with the splitter's own rule
        // for both the count of lines would lag.
        .terminator(csv::Terminator::Any(b'\n'))
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let mut record = StringRecord::new();
    let empty = StringRecord::new();
    let mut line = 1;
    loop {
        let more = reader
            .read_record(&mut record)
            .map_err(|e| Error::malformed("rows of cells", e.to_string()).at(Place::line(line)))?;
        // The splitter leaves empty lines out; a row of data must not vanish, or everything after
        // it would move in time. They are what its line count has moved too far.
        let end = usize::try_from(reader.position().line()).unwrap_or(usize::MAX);
        let inside: usize = record.iter().map(|cell| cell.matches('\n').count()).sum();
        let own = if more { 1 + inside } else { 0 };
        while line + own < end {
            if each(line, &empty).is_break() {
                return Ok(());
            }
            line += 1;
        }
        if !more {
            return Ok(());
        }
        let blank = record.iter().all(str::is_empty) && record.len() <= 1;
        if each(line, if blank { &empty } else { &record }).is_break() {
            return Ok(());
        }
        line += own;
    }
}

/// The text as the splitter needs it: for blanks as separator, runs of them become one tab.
pub(super) fn prepared(text: &str, separator: Separator) -> Cow<'_, str> {
    if separator != Separator::Blanks {
        return text.into();
    }
    let mut out = String::with_capacity(text.len());
    for line in text.lines() {
        let mut first = true;
        for cell in line.split_whitespace() {
            if !first {
                out.push('\t');
            }
            first = false;
            out.push_str(cell);
        }
        out.push('\n');
    }
    out.into()
}

use std::borrow::Cow;
use std::io::{Read, Seek};

use crate::error::{Bounds, Error, Note, Noted, Result};
use crate::units::parse_number;

use super::axis::{outranked, time_axis, time_column};
use super::decode::{latin1, with_line_feeds};
use super::detect::{SAMPLE_ROWS, detect};
use super::header::{Header, plain};
use super::line_reader::LineReader;
use super::table::{Column, Table};
use super::{Channel, Encoding, FileLayout, Layout, ReadOptions, Record};

/// Rows named in a note; the record keeps more.
const NAMED_ROWS: usize = 8;

/// The record in delimited text, read from a source piece by piece.
///
/// Separator, decimal mark, header, units and time axis are found from the content; what the options
/// say outranks it. A row or cell without a finite value becomes a gap that keeps its place in time.
pub(super) fn read_text<R: Read + Seek + Send>(
    mut source: R,
    size_bytes: u64,
    options: &ReadOptions,
) -> Result<Noted<Record>> {
    let mut text = |other: Option<Encoding>| {
        source.rewind().map_err(unreadable)?;
        read_in(&mut source, size_bytes, other, options)
    };
    // Only the whole of a text shows that it is no UTF-8 although its beginning is.
    let read = match text(None)? {
        Some(read) => Some(read),
        None => text(Some(Encoding::Latin1))?,
    };
    read.ok_or_else(|| Error::malformed("text", "bytes that are none"))
}

/// The record in a text written as its beginning says, or otherwise; `None` when it is not written so.
fn read_in<R: Read + Send>(
    source: R,
    size_bytes: u64,
    other: Option<Encoding>,
    options: &ReadOptions,
) -> Result<Option<Noted<Record>>> {
    let mut lines =
        LineReader::new(source, size_bytes, options.limits.piece_bytes).map_err(unreadable)?;
    let mark = lines.mark();
    let (head, is_all) = lines.peek(SAMPLE_ROWS)?;
    let (text, encoding) = head_text(head, mark, other);
    if is_all && text.trim().is_empty() {
        return Err(Error::malformed("samples", "an empty file"));
    }
    let found = detect(&text, options)?;
    Bounds::new("number of columns", "", 1.0, options.limits.max_columns as f64)
        .check(found.width as f64)?;
    let Some(mut table) = Table::read(lines, encoding, &found)? else { return Ok(None) };
    let header = Header::read(&found, &table.beside);
    let mut notes = Vec::new();

    let time = time_column(&table, &header, options)?;
    let (timing, places) = match time {
        Some(at) => time_axis(at, &table, &header, options, &mut notes)?,
        None => (None, None),
    };
    let timing = outranked(timing, &header, options, &mut notes)?;
    let layout = Layout {
        encoding,
        separator: found.separator,
        decimal_mark: found.decimal_mark,
        first_data_line: found.first_data_line,
        data_columns: found.data.iter().map(|place| place + 1).collect(),
        time_column: time.map(|at| found.data[at] + 1),
    };
    let channels = channels(std::mem::take(&mut table.columns), time, &header, places.as_deref());
    if channels.is_empty() {
        return Err(Error::inconsistent("the only column of numbers is the time axis")
            .with_hint("say that no column is a time axis if it is the current"));
    }
    let record = Record {
        channels,
        timing,
        metadata: header.metadata.clone(),
        layout: FileLayout::Text(layout),
        problems: table.problems,
        problem_count: table.problem_count,
    };
    problem_note(&record, &mut notes);
    if table.trailing_rows > 0 {
        notes.push(Note::new(
            "rows-after-data",
            format!(
                "{} rows without a value after the last sample were left out",
                table.trailing_rows
            ),
        ));
    }
    promise_note(&record, &header, &mut notes);
    Ok(Some(Noted { value: record, notes }))
}

/// The beginning of a text as characters: by its mark, else UTF-8, else Latin-1.
fn head_text(
    head: &[u8],
    mark: Option<Encoding>,
    other: Option<Encoding>,
) -> (Cow<'_, str>, Encoding) {
    let (text, encoding) = match std::str::from_utf8(head) {
        Ok(text) if other.is_none() => (text.into(), mark.unwrap_or(Encoding::Utf8)),
        _ => (latin1(head), Encoding::Latin1),
    };
    (with_line_feeds(text), encoding)
}

fn unreadable(source: std::io::Error) -> Error {
    Error::io("the file", source)
}

fn channels(
    columns: Vec<Column>,
    time: Option<usize>,
    header: &Header,
    places: Option<&[Option<usize>]>,
) -> Vec<Channel> {
    let mut channels: Vec<Channel> = columns
        .into_iter()
        .enumerate()
        .filter(|(at, column)| Some(*at) != time && column.first_moment.is_none())
        .map(|(at, column)| {
            let values = match places {
                Some(places) => placed(&column.values, places),
                None => column.values,
            };
            let unit = header.units[at].clone();
            Channel::of_gaps_marked(column.place + 1, header.names[at].clone(), unit, values)
        })
        .collect();
    if let [only] = channels.as_mut_slice() {
        let say = |words: &[&str]| header.find(words).map(|(_, value)| value.to_owned());
        only.name = only.name.take().or_else(|| say(&["source", "channel"]));
        only.unit = only.unit.take().or_else(|| say(&["vertical unit", "y unit"]));
    }
    channels
}

/// The values at their places; between them gaps.
pub(super) fn placed(values: &[f64], places: &[Option<usize>]) -> Vec<f64> {
    let count = places.iter().flatten().max().map_or(0, |last| last + 1);
    let mut out = vec![f64::NAN; count];
    for (value, place) in values.iter().zip(places) {
        if let Some(place) = place {
            out[*place] = *value;
        }
    }
    out
}

/// Names the first rows that carry less than they should.
pub(super) fn problem_note(record: &Record, notes: &mut Vec<Note>) {
    let gaps = record.problems.iter().filter(|problem| problem.kind.leaves_gap());
    let named: Vec<String> = gaps.take(NAMED_ROWS).map(ToString::to_string).collect();
    if record.problem_count == 0 {
        return;
    }
    let more = record.problem_count.saturating_sub(named.len());
    let tail = if more > 0 { format!("; {more} more in the record") } else { String::new() };
    let text = if named.is_empty() {
        format!("{more} rows have more cells than usual; their values are used")
    } else {
        format!("rows without a usable value stay gaps: {}{tail}", named.join("; "))
    };
    notes.push(Note::new("bad-rows", text));
}

/// What the header promises is compared, never believed.
fn promise_note(record: &Record, header: &Header, notes: &mut Vec<Note>) {
    const WORDS: [&str; 6] = [
        "record length",
        "number of samples",
        "number of points",
        "sample count",
        "samples",
        "points",
    ];
    let mut keys = header.metadata.iter().filter(|(key, _)| WORDS.contains(&plain(key).as_str()));
    let promised = keys.next().and_then(|(_, value)| parse_number(value));
    if let Some(promised) = promised
        && (promised - record.len() as f64).abs() > 0.5
    {
        notes.push(promise_not_kept("header", promised, record.len()));
    }
}

/// What a file says it holds is not what it holds.
pub(super) fn promise_not_kept(says: &str, promised: f64, held: usize) -> Note {
    Note::new(
        "promise-not-kept",
        format!("the {says} promises {promised} samples, the file holds {held}"),
    )
}

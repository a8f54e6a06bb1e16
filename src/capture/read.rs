use std::fs::File;
use std::io::Read;
use std::path::Path;

use crate::error::{Bounds, Error, Note, Noted, Result};
use crate::units::parse_number;

use super::axis::{outranked, time_axis, time_column};
use super::decode::decode;
use super::detect::detect;
use super::foreign::{refuse_foreign, refuse_half_of_record};
use super::header::{Header, plain};
use super::table::{Column, Table};
use super::{Channel, Layout, ReadOptions, Record, Samples};

/// Rows named in a note; the record keeps more.
const NAMED_ROWS: usize = 8;

/// The record in a file of delimited text.
///
/// # Errors
/// `Io` when the file cannot be read; otherwise as [`read_bytes`], with the file named.
pub fn read_file(path: impl AsRef<Path>, options: &ReadOptions) -> Result<Noted<Record>> {
    let path = path.as_ref();
    let file = File::open(path).map_err(|source| Error::io(path, source))?;
    let limit = options.limits.max_file_bytes;
    let mut bytes = Vec::new();
    // One byte more than allowed tells a file that is too large, whatever its size is said to be.
    file.take(limit.saturating_add(1))
        .read_to_end(&mut bytes)
        .map_err(|source| Error::io(path, source))?;
    refuse_half_of_record(path).map_err(|error| error.in_file(path))?;
    read_bytes(&bytes, options).map_err(|error| error.in_file(path))
}

/// The record in delimited text.
///
/// Separator, decimal mark, header, units and time axis are found from the content; what the options
/// say outranks it. A row or cell without a finite value becomes a gap that keeps its place in time.
///
/// # Errors
/// `OutOfRange` for a text beyond the limits or a sample rate that makes no sense; `Malformed` when
/// there are no rows of numbers or the file is of another kind; `Inconsistent` when a column asked for does not exist or the time
/// column cannot be one.
///
/// # Example
/// ```
/// use loopcrest::capture::{ReadOptions, read_bytes};
/// let record = read_bytes(b"t;I (A)\n0,0;1,5\n0,1;-1,5\n", &ReadOptions::default()).unwrap().value;
/// assert_eq!(record.channels[0].value(1), Some(-1.5));
/// assert_eq!(record.timing.map(|timing| timing.sample_rate_hz), Some(10.0));
/// ```
pub fn read_bytes(bytes: &[u8], options: &ReadOptions) -> Result<Noted<Record>> {
    let limits = options.limits;
    Bounds::new("file size", "byte", 0.0, limits.max_file_bytes as f64)
        .check(bytes.len() as f64)
        .map_err(|e| e.with_hint("cut the file, or raise the limit"))?;
    if let Some(rate_hz) = options.sample_rate_hz {
        Samples::SAMPLE_RATE_HZ.check(rate_hz)?;
    }
    refuse_foreign(bytes)?;
    let text = decode(bytes);
    if text.trim().is_empty() {
        return Err(Error::malformed("samples", "an empty file"));
    }
    let found = detect(&text, options)?;
    Bounds::new("number of columns", "", 1.0, limits.max_columns as f64)
        .check(found.width as f64)?;
    let mut table = Table::read(&text, &found)?;
    let header = Header::read(&found, &table.beside);
    let mut notes = Vec::new();

    let time = time_column(&table, &header, options)?;
    let (timing, places) = match time {
        Some(at) => time_axis(at, &table, &header, options, &mut notes)?,
        None => (None, None),
    };
    let timing = outranked(timing, &header, options, &mut notes)?;
    let layout = Layout {
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
        layout,
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
    Ok(Noted { value: record, notes })
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
            Channel::new(column.place + 1, header.names[at].clone(), unit, values)
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
fn placed(values: &[f64], places: &[Option<usize>]) -> Vec<f64> {
    let count = places.iter().flatten().max().map_or(0, |last| last + 1);
    let mut out = vec![f64::NAN; count];
    for (value, place) in values.iter().zip(places) {
        if let Some(place) = place {
            out[*place] = *value;
        }
    }
    out
}

fn problem_note(record: &Record, notes: &mut Vec<Note>) {
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
        notes.push(Note::new(
            "promise-not-kept",
            format!("the header promises {promised} samples, the file holds {}", record.len()),
        ));
    }
}

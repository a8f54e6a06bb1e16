use std::fs::File;
use std::io::Read;
use std::path::Path;

use crate::error::{Bounds, Error, Note, Noted, Result};
use crate::units::{Dimension, parse_number};

use super::column_choice::find_column;
use super::decode::decode;
use super::detect::detect;
use super::header::{Header, plain, unit};
use super::stamps::{self, Axis};
use super::table::{Column, Table};
use super::{Channel, ColumnChoice, Layout, ReadOptions, Record, TimeColumn, Timing, TimingSource};

/// Samples per second that make sense for a current at mains frequency.
pub(super) const SAMPLE_RATE_HZ: Bounds = Bounds::new("sample rate", "Hz", 1.0, 1e9);
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
    read_bytes(&bytes, options).map_err(|error| error.in_file(path))
}

/// The record in delimited text.
///
/// Separator, decimal mark, header, units and time axis are found from the content; what the options
/// say outranks it. A row or cell without a finite value becomes a gap that keeps its place in time.
///
/// # Errors
/// `OutOfRange` for a text beyond the limits or a sample rate that makes no sense; `Malformed` when
/// there are no rows of numbers; `Inconsistent` when a column asked for does not exist or the time
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
        SAMPLE_RATE_HZ.check(rate_hz)?;
    }
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

/// Which data column is the time axis: named by the caller, else by its name, unit or content.
fn time_column(table: &Table, header: &Header, options: &ReadOptions) -> Result<Option<usize>> {
    let TimeColumn::Column(choice) = &options.time_column else { return Ok(None) };
    if *choice != ColumnChoice::Auto {
        let columns: Vec<_> = table
            .columns
            .iter()
            .zip(&header.names)
            .map(|(column, name)| (column.place + 1, name.as_deref()))
            .collect();
        return find_column(choice, &columns);
    }
    let columns = &table.columns;
    let is_time_of_day = |column: &Column| column.first_moment.is_some_and(|m| m.has_time);
    let by_moment = columns.iter().position(is_time_of_day);
    let by_unit = || {
        let is_time = |text: &Option<String>| {
            text.as_deref()
                .and_then(unit)
                .is_some_and(|(dimension, _)| dimension == Dimension::Time)
        };
        header.units.iter().position(is_time)
    };
    let by_name = || header.names.iter().position(|name| name.as_deref().is_some_and(is_time_name));
    let by_content = || {
        let first = columns.first()?;
        (columns.len() > 1 && never_goes_back(&first.values)).then_some(0)
    };
    Ok(by_moment.or_else(by_unit).or_else(by_name).or_else(by_content))
}

fn is_time_name(name: &str) -> bool {
    const WORDS: [&str; 9] =
        ["time", "t", "zeit", "temps", "tiempo", "timestamp", "tempo", "tid", "datetime"];
    plain(name).split(' ').any(|word| WORDS.contains(&word))
}

/// Advances from first to last and never steps back, over more rows than a current could.
fn never_goes_back(values: &[f64]) -> bool {
    let known: Vec<f64> = values.iter().copied().filter(|value| value.is_finite()).collect();
    known.len() >= 3
        && known[known.len() - 1] > known[0]
        && known.windows(2).all(|pair| pair[1] >= pair[0])
}

type Places = Option<Vec<Option<usize>>>;

/// Rate and places from the time column; an index that only counts rows gives no rate.
fn time_axis(
    at: usize,
    table: &Table,
    header: &Header,
    options: &ReadOptions,
    notes: &mut Vec<Note>,
) -> Result<(Option<Timing>, Places)> {
    let column = &table.columns[at];
    let name = header.names[at].as_deref();
    let beside = header.find(&["horizontal unit", "time unit", "x unit"]).map(|(_, value)| value);
    let written = options.time_unit.as_deref().or(header.units[at].as_deref()).or(beside);
    let known = written.and_then(unit).filter(|(dimension, _)| *dimension == Dimension::Time);
    if options.time_unit.is_some() && known.is_none() {
        return Err(Error::malformed(
            "a unit of time such as \"ms\"",
            format!("\"{}\"", written.unwrap_or("")),
        ));
    }
    let named_time = name.is_some_and(is_time_name);
    if known.is_none() && !named_time && column.first_moment.is_none() && counts_rows(column) {
        // Numbers left out of an index still say that rows are missing.
        let axis = stamps::axis(&column.values, options.limits.max_missing_rows)?;
        notes.extend(axis.notes);
        return Ok((None, axis.places));
    }
    let factor = known.map_or(1.0, |(_, factor)| factor);
    if known.is_none() && column.first_moment.is_none() {
        notes.push(Note::new(
            "time-unit-assumed",
            format!("column {} gives time without a unit: read as seconds", column.place + 1),
        ));
    }
    let stamps_s: Vec<f64> = column.values.iter().map(|value| value * factor).collect();
    let found = stamps::axis(&stamps_s, options.limits.max_missing_rows);
    let Axis { mut timing, places, notes: found } = match (found, options.sample_rate_hz) {
        (Ok(axis), _) => axis,
        // The caller's rate stands in for a time column that is of no use.
        (Err(error), Some(_)) => {
            notes.push(Note::new("time-column-unusable", error.to_string()));
            return Ok((None, None));
        }
        (Err(error), None) => {
            return Err(error.with_context(format!("time column {}", column.place + 1)));
        }
    };
    notes.extend(found);
    if column.first_moment.is_some() {
        timing.first_time_s = None;
    }
    Ok((Some(timing), places))
}

/// Whole numbers that go up, mostly by one from row to row: an index, not a time.
fn counts_rows(column: &Column) -> bool {
    let known: Vec<f64> = column.values.iter().copied().filter(|value| !value.is_nan()).collect();
    let ones = known.windows(2).filter(|pair| (pair[1] - pair[0] - 1.0).abs() < 1e-9).count();
    let rising = known.windows(2).all(|pair| pair[1] > pair[0]);
    known.len() >= 2
        && rising
        && 2 * ones >= known.len() - 1
        && known.iter().all(|value| value.fract().abs() < 1e-9)
}

/// The rate that counts: the caller's, then the time column's, then the header's.
fn outranked(
    from_stamps: Option<Timing>,
    header: &Header,
    options: &ReadOptions,
    notes: &mut Vec<Note>,
) -> Result<Option<Timing>> {
    let written_hz = header_rate_hz(header).filter(|rate_hz| SAMPLE_RATE_HZ.contains(*rate_hz));
    let first_time_s = from_stamps.as_ref().map_or_else(
        || header.find(&["start"]).and_then(|(_, value)| parse_number(value)),
        |timing| timing.first_time_s,
    );
    let given = |sample_rate_hz, source| Timing {
        sample_rate_hz,
        relative_standard_uncertainty_ratio: None,
        first_time_s,
        source,
    };
    let chosen = match (options.sample_rate_hz, from_stamps.clone(), written_hz) {
        (Some(rate_hz), _, _) => Some(given(rate_hz, TimingSource::Caller)),
        (None, Some(timing), Some(rate_hz)) if timing.source == TimingSource::FirstAndLastStamp => {
            let agrees = (timing.sample_rate_hz / rate_hz - 1.0).abs() < 0.02;
            Some(if agrees { given(rate_hz, TimingSource::Header) } else { timing })
        }
        (None, Some(timing), _) => Some(timing),
        (None, None, Some(rate_hz)) => Some(given(rate_hz, TimingSource::Header)),
        (None, None, None) => None,
    };
    if let Some(timing) = &chosen {
        SAMPLE_RATE_HZ
            .check(timing.sample_rate_hz)
            .map_err(|e| e.with_hint("is the unit of the time column right? it can be given"))?;
        let others = [
            ("the time column gives", from_stamps.map(|timing| timing.sample_rate_hz)),
            ("the header gives", written_hz),
        ];
        for (says, other_hz) in others {
            if let Some(other_hz) = other_hz
                && (timing.sample_rate_hz / other_hz - 1.0).abs() > 0.01
            {
                notes.push(Note::new(
                    "sample-rates-differ",
                    format!(
                        "{says} {other_hz:.6} samples per second; {} is used",
                        timing.sample_rate_hz
                    ),
                ));
            }
        }
    }
    Ok(chosen)
}

/// A sample interval or rate written in the header, units in the value or in brackets in the key.
fn header_rate_hz(header: &Header) -> Option<f64> {
    let interval =
        ["sample interval", "sampling interval", "sample period", "increment", "delta t"];
    let rate =
        ["sample rate", "sampling rate", "sampling frequency", "sample frequency", "samplerate"];
    let read = |words: &[&str], dimension: Dimension| {
        let (key, value) = header.find(words)?;
        let in_key = key
            .rfind(['(', '['])
            .map(|at| key[at..].trim_matches(|c| matches!(c, '(' | ')' | '[' | ']' | ' ')))
            .and_then(|unit| dimension.factor(unit));
        let plain = parse_number(value).map(|value| value * in_key.unwrap_or(1.0));
        plain.or_else(|| crate::units::parse(value, dimension).ok())
    };
    let interval_s = read(&interval, Dimension::Time).filter(|s| *s > 0.0);
    interval_s.map(|s| 1.0 / s).or_else(|| read(&rate, Dimension::Frequency))
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

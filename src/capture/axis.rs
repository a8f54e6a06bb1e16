use std::borrow::Cow;

use crate::error::{Error, Note, Result};
use crate::units::{Dimension, parse_number};

use super::column_choice::find_column;
use super::header::{Header, plain, unit};
use super::stamps::{self, Axis};
use super::table::{Column, Table};
use super::{ColumnChoice, ReadOptions, Samples, TimeColumn, Timing, TimingSource};

/// Which data column is the time axis: named by the caller, else by its name, unit or content.
pub(super) fn time_column(
    table: &Table,
    header: &Header,
    options: &ReadOptions,
) -> Result<Option<usize>> {
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
pub(super) fn never_goes_back(values: &[f64]) -> bool {
    let mut known = values.iter().copied().filter(|value| value.is_finite());
    let Some(first) = known.next() else { return false };
    let (mut last, mut count) = (first, 1);
    for value in known {
        if value < last {
            return false;
        }
        last = value;
        count += 1;
    }
    count >= 3 && last > first
}

/// Place on the time axis of each row; `None` when that is the row itself.
pub(super) type Places = Option<Vec<Option<usize>>>;

/// Rate and places from the time column; an index that only counts rows gives no rate.
pub(super) fn time_axis(
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
    // Seconds already, as most are, need no copy.
    let stamps_s: Cow<'_, [f64]> = if (factor - 1.0).abs() <= 0.0 {
        column.values.as_slice().into()
    } else {
        column.values.iter().map(|value| value * factor).collect()
    };
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
pub(super) fn outranked(
    from_stamps: Option<Timing>,
    header: &Header,
    options: &ReadOptions,
    notes: &mut Vec<Note>,
) -> Result<Option<Timing>> {
    let written_hz =
        header_rate_hz(header).filter(|rate_hz| Samples::SAMPLE_RATE_HZ.contains(*rate_hz));
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
        Samples::SAMPLE_RATE_HZ
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

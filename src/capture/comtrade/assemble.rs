use std::ops::Range;
use std::sync::Arc;

use crate::capture::packed::Packed;
use crate::capture::stamps;
use crate::capture::text::{placed, problem_note, promise_not_kept};
use crate::capture::{
    Channel, ChannelScale, FileLayout, ReadOptions, Record, Samples, Timing, TimingSource,
};
use crate::error::{Error, Note, Noted, Result};

use super::analog::Analog;
use super::configuration::Configuration;
use super::places::places;
use super::rows::{Columns, Rows};
use super::sections::{Section, choose};
use super::{SomeRows, TransientLayout, ascii, binary};

/// Time stamps this much away from the rate are worth a note.
const STAMPS_OFF_RATIO: f64 = 0.01;

/// Where the data of a record stand.
#[derive(Debug)]
pub(super) struct Source {
    pub(super) file: Arc<Vec<u8>>,
    pub(super) data: Range<usize>,
    pub(super) single_file: bool,
    /// Where these are only some of the rows.
    pub(super) part: Option<Part>,
}

/// Some rows of one sample rate.
#[derive(Clone, Copy, Debug)]
pub(super) struct Part {
    pub(super) rate_hz: Option<f64>,
    /// Rows of the record that stand before them.
    pub(super) rows_before: usize,
    /// Of these, as text.
    pub(super) lines_before: usize,
}

/// The record from a configuration and its data.
pub(super) fn assemble(
    configuration: &Configuration,
    source: &Source,
    options: &ReadOptions,
) -> Result<SomeRows> {
    let promised = configuration.rates.last().map_or(0, |(_, end)| *end);
    let promised = promised.saturating_sub(source.part.map_or(0, |part| part.rows_before));
    let rows = match configuration.kind.coding() {
        Some(coding) => binary::read(configuration, coding, &source.file, source.data.clone())?,
        None => {
            let data = source.file.get(source.data.clone()).unwrap_or_default();
            let lines_before = source.part.map_or(0, |part| part.lines_before);
            ascii::read(configuration, data, promised, lines_before)?
        }
    };
    let mut notes = rows.notes.clone();
    if rows.count != promised {
        notes.push(promise_not_kept("configuration", promised as f64, rows.count));
    }
    let (section, note) = match source.part {
        Some(Part { rate_hz, .. }) => (Section { rate_hz, rows: 0..rows.count }, None),
        None => choose(&configuration.rates, rows.count, options.section)?,
    };
    notes.extend(note);
    let (timing, by_stamp) = timing(configuration, &rows, &section, options, &mut notes)?;
    let by_number = || {
        let numbers = rows.numbers.as_ref()?.get(section.rows.clone())?;
        let (places, note) = places(numbers, options.limits.max_missing_rows);
        notes.push(note);
        places
    };
    let places = by_stamp.or_else(by_number);
    let mut channels = Vec::new();
    for (at, analog) in configuration.analog.iter().enumerate() {
        match &analog.linear {
            Ok(linear) => {
                channels.push(channel(
                    at,
                    analog,
                    *linear,
                    &rows,
                    &section,
                    options,
                    places.as_deref(),
                ));
            }
            Err(why) => notes.push(Note::new(
                "channel-left-out",
                format!("channel {}{} is left out: {why}", at + 1, named(analog)),
            )),
        }
    }
    if channels.is_empty() {
        return Err(Error::inconsistent("no channel of the record has a conversion factor"));
    }
    let record = Record {
        channels,
        timing,
        metadata: metadata(configuration),
        layout: FileLayout::Transient(TransientLayout {
            single_file: source.single_file,
            encoding: configuration.encoding,
            revision: configuration.revision,
            kind: configuration.kind,
            analog_channels: configuration.analog.len(),
            status_channels: configuration.status,
            line_frequency_hz: configuration.line_frequency_hz,
            rates_hz: configuration.rates.iter().map(|(rate_hz, _)| *rate_hz).collect(),
            promised_samples: promised,
        }),
        problems: rows.problems,
        problem_count: rows.problem_count,
    };
    problem_note(&record, &mut notes);
    Ok(SomeRows { read: Noted { value: record, notes }, count: rows.count })
}

/// Place on the time axis of each row; `None` when that is the row itself.
type Places = Option<Vec<Option<usize>>>;

/// The rate of a section: the caller's, then the configuration's, then that of the time stamps.
fn timing(
    configuration: &Configuration,
    rows: &Rows,
    section: &Section,
    options: &ReadOptions,
    notes: &mut Vec<Note>,
) -> Result<(Option<Timing>, Places)> {
    let seconds = |k: usize| rows.stamps.at(k).map(|stamp| stamp * configuration.stamp_s);
    let first_time_s = seconds(section.rows.start);
    let written = section.rate_hz.filter(|rate_hz| Samples::SAMPLE_RATE_HZ.contains(*rate_hz));
    let given = match (options.sample_rate_hz, written) {
        (Some(rate_hz), _) => Some(Timing::given(rate_hz, TimingSource::Caller)),
        (None, Some(rate_hz)) => Some(Timing::given(rate_hz, TimingSource::Header)),
        (None, None) => None,
    };
    if let Some(timing) = given {
        let steps = section.rows.len().saturating_sub(1);
        let span_s =
            seconds(section.rows.end - 1).zip(first_time_s).map(|(last, first)| last - first);
        if let Some(step_s) = span_s.map(|span_s| span_s / steps as f64)
            && step_s > 0.0
            && rows.numbers.is_none()
            && (step_s * timing.sample_rate_hz - 1.0).abs() > STAMPS_OFF_RATIO
        {
            notes.push(Note::new(
                "sample-rates-differ",
                format!(
                    "the time stamps give {:.6} samples per second; {} is used",
                    1.0 / step_s,
                    timing.sample_rate_hz
                ),
            ));
        }
        return Ok((Some(Timing { first_time_s, ..timing }), None));
    }
    let stamps_s: Vec<f64> = rows
        .stamps
        .all()
        .get(section.rows.clone())
        .unwrap_or_default()
        .iter()
        .map(|stamp| stamp * configuration.stamp_s)
        .collect();
    if stamps_s.iter().all(|stamp| !stamp.is_finite()) {
        return Ok((None, None));
    }
    let axis = stamps::axis(&stamps_s, options.limits.max_missing_rows).map_err(|error| {
        error.with_context("the record has no sample rate, and its time stamps")
    })?;
    notes.extend(axis.notes);
    Ok((Some(axis.timing), axis.places))
}

fn channel(
    at: usize,
    analog: &Analog,
    (multiplier, offset): (f64, f64),
    rows: &Rows,
    section: &Section,
    options: &ReadOptions,
    places: Option<&[Option<usize>]>,
) -> Channel {
    let to_side = options.side.and_then(|wanted| analog.to_side(wanted));
    let side = if to_side.is_some() { options.side } else { analog.side };
    let by = to_side.unwrap_or(1.0);
    let (factor, shift) = (by * multiplier, by * offset);
    let number = at + 1;
    let (name, unit) = (analog.name.clone(), analog.unit.clone());
    let made = match &rows.columns {
        Columns::Plain(columns) => {
            let numbers = columns[at].get(section.rows.clone()).unwrap_or_default();
            let values = numbers.iter().map(|number| factor * number + shift).collect::<Vec<_>>();
            let values = match places {
                Some(places) => placed(&values, places),
                None => values,
            };
            Channel::new(number, name, unit, values)
        }
        Columns::Packed(packed) => {
            let coding = packed.coding;
            let packed = Packed {
                file: Arc::clone(&packed.file),
                start: packed.start + at * coding.bytes(),
                stride: packed.row_bytes,
                count: rows.count,
                coding,
                factor,
                offset: shift,
                missing: packed.missing,
            }
            .slice(section.rows.clone());
            match places {
                Some(places) => Channel::new(number, name, unit, placed(&packed.all(), places)),
                None => Channel::packed(number, name, unit, packed),
            }
        }
    };
    made.with_scale(ChannelScale {
        linear: Some((multiplier, offset)),
        rated: analog.rated,
        written_side: analog.side,
        side,
        full_scale: None,
        skew_s: analog.skew_s,
    })
}

fn named(analog: &Analog) -> String {
    analog.name.as_ref().map_or(String::new(), |name| format!(" ({name})"))
}

fn metadata(configuration: &Configuration) -> Vec<(String, String)> {
    let frequency = configuration.line_frequency_hz.map(|hz| format!("{hz} Hz"));
    [
        ("station", &configuration.station),
        ("device", &configuration.device),
        ("line frequency", &frequency),
        ("first sample", &configuration.first_stamp),
        ("trigger", &configuration.trigger_stamp),
    ]
    .into_iter()
    .filter_map(|(key, value)| Some((key.to_owned(), value.clone()?)))
    .collect()
}

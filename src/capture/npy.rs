use std::sync::Arc;

use crate::error::{Bounds, Error, Note, Noted, Result};

use super::axis::never_goes_back;
use super::column_choice::find_column;
use super::packed::{Coding, Packed};
use super::stamps;
use super::text::{placed, promise_not_kept};
use super::{
    ArrayLayout, Channel, ChannelScale, ColumnChoice, FileLayout, ReadOptions, Record, TimeColumn,
    Timing, TimingSource,
};

/// The record in a NumPy array of one or two dimensions: the longer one is time.
///
/// # Source
/// The format's own description, versions 1 to 3: magic, version, length of the header, a literal with
/// the keys `descr`, `fortran_order` and `shape`, then the numbers.
pub(super) fn read_npy(file: &Arc<Vec<u8>>, options: &ReadOptions) -> Result<Noted<Record>> {
    let header = Header::read(file)?;
    let mut notes = Vec::new();
    let (rows, columns) = header.shape;
    // Fewer rows than columns are channels one below the other.
    let channels_in_rows = rows < columns && rows > 0;
    let (mut samples, channels) = if channels_in_rows { (columns, rows) } else { (rows, columns) };
    Bounds::new("number of channels", "", 1.0, options.limits.max_columns as f64)
        .check(channels as f64)?;
    let size = header.coding.bytes();
    let present = file.len().saturating_sub(header.start) / size;
    let next_sample = if channels_in_rows == header.fortran_order { channels } else { 1 };
    let next_channel = if next_sample == 1 { samples } else { 1 };
    // A cut file still holds the samples that stand before the cut in every channel.
    let whole = if next_sample == 1 {
        present.saturating_sub((channels - 1).saturating_mul(samples))
    } else {
        present / channels
    };
    if whole < samples {
        notes.push(promise_not_kept("header", samples as f64, whole));
        samples = whole;
    }
    if samples == 0 {
        return Err(Error::malformed("samples", "an array without any"));
    }
    let packed = |at: usize| Packed {
        file: Arc::clone(file),
        start: header.start + at * next_channel * size,
        stride: next_sample * size,
        count: samples,
        coding: header.coding,
        factor: 1.0,
        offset: 0.0,
        missing: None,
    };
    let time = time_column(channels, &packed, options)?;
    let mut timing = None;
    let mut places = None;
    if let Some(at) = time {
        let axis = stamps::axis(&packed(at).all(), options.limits.max_missing_rows)
            .map_err(|error| error.with_context(format!("time column {}", at + 1)))?;
        notes.push(Note::new(
            "time-unit-assumed",
            format!("column {} advances like time: read as seconds", at + 1),
        ));
        notes.extend(axis.notes);
        (timing, places) = (Some(axis.timing), axis.places);
    }
    if let Some(rate_hz) = options.sample_rate_hz {
        timing = Some(Timing::given(rate_hz, TimingSource::Caller));
    }
    let scale = ChannelScale { full_scale: header.full_scale, ..ChannelScale::default() };
    let channels: Vec<Channel> = (0..channels)
        .filter(|at| Some(*at) != time)
        .map(|at| match &places {
            Some(places) => Channel::new(at + 1, None, None, placed(&packed(at).all(), places)),
            None => Channel::packed(at + 1, None, None, packed(at)),
        })
        .map(|channel| channel.with_scale(scale))
        .collect();
    let layout = ArrayLayout {
        number: header.number,
        shape: (samples, channels.len() + usize::from(time.is_some())),
        channels_in_rows,
        time_column: time.map(|at| at + 1),
    };
    let record = Record {
        channels,
        timing,
        metadata: Vec::new(),
        layout: FileLayout::Array(layout),
        problems: Vec::new(),
        problem_count: 0,
    };
    Ok(Noted { value: record, notes })
}

/// Where the samples of an array stand, one row for each.
pub(super) struct ArrayRows {
    pub(super) start: usize,
    pub(super) bytes: usize,
    pub(super) count: usize,
}

/// The rows of an array by its beginning; `None` when the numbers of one channel stand together and not
/// those of one moment.
///
/// # Errors
/// As [`read_npy`] for the header.
pub(super) fn rows(head: &[u8]) -> Result<Option<ArrayRows>> {
    let header = Header::read(head)?;
    let (count, channels) = header.shape;
    let is_one_after_the_other = count >= channels && (channels == 1 || !header.fortran_order);
    let bytes = header.coding.bytes().checked_mul(channels).filter(|bytes| *bytes > 0);
    let rows = bytes.map(|bytes| ArrayRows { start: header.start, bytes, count });
    Ok(rows.filter(|_| is_one_after_the_other))
}

/// The column named as time, or the first of several when it never goes back.
fn time_column(
    columns: usize,
    packed: &impl Fn(usize) -> Packed,
    options: &ReadOptions,
) -> Result<Option<usize>> {
    if columns < 2 {
        return Ok(None);
    }
    match &options.time_column {
        TimeColumn::Absent => Ok(None),
        TimeColumn::Column(ColumnChoice::Auto) => {
            Ok(never_goes_back(&packed(0).all()).then_some(0))
        }
        TimeColumn::Column(choice) => {
            let numbers: Vec<_> = (1..=columns).map(|number| (number, None)).collect();
            find_column(choice, &numbers)
        }
    }
}

/// What stands before the numbers.
struct Header {
    number: String,
    coding: Coding,
    /// Of whole numbers.
    full_scale: Option<f64>,
    fortran_order: bool,
    shape: (usize, usize),
    start: usize,
}

impl Header {
    fn read(file: &[u8]) -> Result<Self> {
        let cut = || Error::malformed("a whole NumPy array", "one whose header is cut off");
        let major = *file.get(6).ok_or_else(cut)?;
        let (length, from) = match (major, file.get(8..)) {
            (1, Some([a, b, ..])) => (usize::from(u16::from_le_bytes([*a, *b])), 10),
            (2 | 3, Some([a, b, c, d, ..])) => (u32::from_le_bytes([*a, *b, *c, *d]) as usize, 12),
            (1..=3, _) => return Err(cut()),
            _ => {
                return Err(Error::malformed(
                    "a NumPy array of version 1 to 3",
                    format!("version {major}"),
                ));
            }
        };
        let start = from + length;
        let text = file.get(from..start).ok_or_else(cut)?;
        let text = String::from_utf8_lossy(text);
        let number = quoted_after(&text, "descr").ok_or_else(|| {
            Error::malformed("an array of plain numbers", "one of records or without a type")
        })?;
        let (coding, full_scale) = coding(&number)?;
        let fortran_order = after(&text, "fortran_order").is_some_and(|t| t.starts_with("True"));
        let shape = after(&text, "shape").and_then(dimensions).ok_or_else(|| {
            Error::malformed("an array of one or two dimensions", "another shape")
                .with_hint("save one channel, or samples by channels")
        })?;
        Ok(Self { number, coding, full_scale, fortran_order, shape, start })
    }
}

/// How numbers of a type are written, and which number is full scale.
fn coding(number: &str) -> Result<(Coding, Option<f64>)> {
    Ok(match number {
        "<f4" => (Coding::Float32, None),
        ">f4" => (Coding::Float32Big, None),
        "<f8" => (Coding::Float64, None),
        ">f8" => (Coding::Float64Big, None),
        "|i1" => (Coding::Whole8, Some(128.0)),
        "<i2" => (Coding::Whole16, Some(32_768.0)),
        ">i2" => (Coding::Whole16Big, Some(32_768.0)),
        "<i4" => (Coding::Whole32, Some(2_147_483_648.0)),
        ">i4" => (Coding::Whole32Big, Some(2_147_483_648.0)),
        other => {
            return Err(Error::malformed(
                "numbers of type f4, f8, i1, i2 or i4",
                format!("\"{other}\""),
            )
            .with_hint("convert it with astype"));
        }
    })
}

/// What follows a key of the literal and its colon.
fn after<'t>(text: &'t str, key: &str) -> Option<&'t str> {
    let rest = &text[text.find(key)? + key.len()..];
    Some(rest.trim_start_matches(['\'', '"']).trim_start().strip_prefix(':')?.trim_start())
}

fn quoted_after(text: &str, key: &str) -> Option<String> {
    let rest = after(text, key)?;
    let quote = rest.chars().next().filter(|c| matches!(c, '\'' | '"'))?;
    rest[1..].split_once(quote).map(|(inside, _)| inside.to_owned())
}

/// `(3000,)` is one channel, `(3000, 2)` two.
fn dimensions(text: &str) -> Option<(usize, usize)> {
    let (inside, _) = text.strip_prefix('(')?.split_once(')')?;
    let sizes: Vec<&str> =
        inside.split(',').map(str::trim).filter(|size| !size.is_empty()).collect();
    let sizes: Option<Vec<usize>> = sizes.into_iter().map(|size| size.parse().ok()).collect();
    match *sizes?.as_slice() {
        [samples] => Some((samples, 1)),
        [rows, columns] => Some((rows, columns)),
        _ => None,
    }
}

use std::cmp::Reverse;
use std::ops::ControlFlow;

use csv::StringRecord;

use crate::error::{Error, Result};

use super::cells::Cell;
use super::rows::{for_each_row, prepared};
use super::{DecimalMark, ReadOptions, Separator};

/// Rows looked at before the layout is decided.
pub(super) const SAMPLE_ROWS: usize = 2000;
/// Of these, the last ones are surely data.
const TAIL_ROWS: usize = 500;
/// A table with columns of text needs this many rows before it counts as data and not as a header
/// of names and values.
const ROWS_WITH_LABELS: usize = 8;

/// The layout and the rows above the data.
#[derive(Debug)]
pub(super) struct Found {
    pub(super) separator: Separator,
    pub(super) decimal_mark: DecimalMark,
    /// Places of the data columns in a row, from 0.
    pub(super) data: Vec<usize>,
    /// Which of these hold dates or times of day instead of numbers.
    pub(super) moments: Vec<bool>,
    /// Usual number of cells in a row.
    pub(super) width: usize,
    pub(super) first_data_line: usize,
    /// The rows above the data, empty ones left out.
    pub(super) header: Vec<StringRecord>,
}

/// Finds separator, decimal mark, data columns and the first row of data.
///
/// Every combination is tried on the first rows; the one that leaves least text in the table wins,
/// then the one with most columns of numbers.
///
/// # Errors
/// `Malformed` when no combination gives rows of numbers.
pub(super) fn detect(text: &str, options: &ReadOptions) -> Result<Found> {
    let head = head(text);
    let mut best: Option<(Rank, Found)> = None;
    for separator in Separator::ALL {
        if options.separator.is_some_and(|wanted| wanted != separator) {
            continue;
        }
        let rows = sample(head, separator)?;
        for mark in [DecimalMark::Point, DecimalMark::Comma] {
            if options.decimal_mark.is_some_and(|wanted| wanted != mark) {
                continue;
            }
            let Some((rank, found)) = judge(&rows, separator, mark) else { continue };
            let lone_comma = separator == Separator::Comma
                && options.separator.is_none()
                && options.decimal_mark != Some(DecimalMark::Point)
                && is_lone_decimal_comma(&rows, &found);
            if !lone_comma && best.as_ref().is_none_or(|(so_far, _)| rank > *so_far) {
                best = Some((rank, found));
            }
        }
    }
    best.map(|(_, found)| found).ok_or_else(|| {
        Error::malformed("rows of numbers", "no samples: a header only, or text")
            .with_hint("is this the right file? separator and decimal mark can be given")
    })
}

/// Fewer columns of text first, then more columns of numbers.
type Rank = (Reverse<usize>, usize);

/// The beginning of the text that holds the sampled rows.
fn head(text: &str) -> &str {
    let end = text.match_indices('\n').nth(SAMPLE_ROWS - 1).map_or(text.len(), |(at, _)| at + 1);
    &text[..end]
}

fn sample(head: &str, separator: Separator) -> Result<Vec<(usize, StringRecord)>> {
    let mut rows = Vec::new();
    for_each_row(&prepared(head, separator), separator, |line, record| {
        if !record.is_empty() {
            rows.push((line, record.clone()));
        }
        ControlFlow::Continue(())
    })?;
    Ok(rows)
}

fn judge(
    rows: &[(usize, StringRecord)],
    separator: Separator,
    mark: DecimalMark,
) -> Option<(Rank, Found)> {
    let tail = tail(rows);
    let width = usual_width(tail);
    let mut data = Vec::new();
    let mut moments = Vec::new();
    let mut solid = Vec::new();
    let mut labels = 0;
    for column in 0..width {
        let mut values = 0;
        let mut texts = 0;
        let mut dated = 0;
        for (_, record) in tail {
            let cell = Cell::of(record.get(column).unwrap_or(""), mark);
            values += usize::from(cell.is_value());
            dated += usize::from(matches!(cell, Cell::Moment(_)));
            texts += usize::from(cell == Cell::Text);
        }
        if 2 * values > tail.len() {
            data.push(column);
            moments.push(2 * dated > values);
            if 10 * values >= 9 * tail.len() {
                solid.push(column);
            }
        } else if 2 * texts > tail.len() {
            labels += 1;
        }
    }
    if data.is_empty() {
        return None;
    }
    let required = if solid.is_empty() { &data } else { &solid };
    let starts = |record: &StringRecord| {
        required.iter().all(|column| Cell::of(record.get(*column).unwrap_or(""), mark).is_value())
    };
    let first = rows.iter().position(|(_, record)| starts(record))?;
    if labels > 0 && rows.len() - first < ROWS_WITH_LABELS {
        return None;
    }
    let found = Found {
        separator,
        decimal_mark: mark,
        width,
        first_data_line: rows[first].0,
        header: rows[..first].iter().map(|(_, record)| record.clone()).collect(),
        data,
        moments,
    };
    Some(((Reverse(labels), found.data.len()), found))
}

fn tail(rows: &[(usize, StringRecord)]) -> &[(usize, StringRecord)] {
    let from = (rows.len() / 2).max(rows.len().saturating_sub(TAIL_ROWS));
    &rows[from..]
}

/// The most frequent number of cells; the smaller one when two are equally frequent.
fn usual_width(rows: &[(usize, StringRecord)]) -> usize {
    let mut counts = std::collections::BTreeMap::new();
    for (_, record) in rows {
        *counts.entry(record.len()).or_insert(0_usize) += 1;
    }
    counts.into_iter().max_by_key(|(width, count)| (*count, Reverse(*width))).map_or(0, |(w, _)| w)
}

/// Whether "two columns of whole numbers" is really one column with decimal commas: every row has
/// digits on both sides of one comma, no sign after it, and the first part does not count upwards.
fn is_lone_decimal_comma(rows: &[(usize, StringRecord)], found: &Found) -> bool {
    if found.data.len() != 2 || found.width != 2 {
        return false;
    }
    let tail = tail(rows);
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    let mut last: Option<i64> = None;
    let mut counts_up = true;
    for (_, record) in tail {
        let (Some(whole), Some(fraction)) = (record.get(0), record.get(1)) else { continue };
        if !digits(whole.trim_start_matches(['-', '+'])) || !digits(fraction) {
            return false;
        }
        let value = whole.parse::<i64>().ok();
        counts_up &= match (last, value) {
            (Some(last), Some(value)) => value == last.saturating_add(1),
            (None, Some(_)) => true,
            _ => false,
        };
        last = value;
    }
    !counts_up
}

use std::ops::Range;
use std::sync::Arc;

use crate::capture::packed::{Coding, Packed};
use crate::error::{Error, Note, Result};

use super::configuration::Configuration;
use super::rows::{Columns, PackedRows, Rows, Stamps};

/// Number and time stamp before the channels, four bytes each.
const BEFORE_CHANNELS: usize = 8;
/// A time stamp that is not given has all bits set.
const NO_STAMP: u32 = u32::MAX;

/// Bytes of one row of binary data.
pub(super) fn row_bytes(configuration: &Configuration, coding: Coding) -> usize {
    let status_bytes = 2 * configuration.status.div_ceil(16);
    BEFORE_CHANNELS + configuration.analog.len() * coding.bytes() + status_bytes
}

/// The rows of binary data in `range` of a file.
///
/// # Errors
/// `Malformed` when there is not a single whole row.
pub(super) fn read(
    configuration: &Configuration,
    coding: Coding,
    file: &Arc<Vec<u8>>,
    range: Range<usize>,
) -> Result<Rows> {
    let row_bytes = row_bytes(configuration, coding);
    let data = file.get(range.clone()).unwrap_or_default();
    let count = data.len() / row_bytes;
    if count == 0 {
        return Err(Error::malformed("samples", "not a single whole row of data"));
    }
    let mut notes = Vec::new();
    // Old writers end even binary data with an end-of-file mark.
    let rest = data.len() % row_bytes;
    if rest > 1 {
        notes.push(Note::new(
            "data-cut",
            format!("the data end with {rest} bytes of a row of {row_bytes}, which are not used"),
        ));
    }
    let words = |at: usize| {
        data.chunks_exact(row_bytes).map(move |row| {
            row[at..].first_chunk().map_or(NO_STAMP, |bytes| u32::from_le_bytes(*bytes))
        })
    };
    let first = words(0).next().unwrap_or(0);
    // Without a branch inside: this runs over every row of every file.
    let uneven = words(0)
        .zip(0_u32..)
        .fold(0, |uneven, (number, k)| uneven | (number ^ first.wrapping_add(k)));
    let numbers = (uneven != 0).then(|| words(0).map(f64::from).collect());
    let stamps = Packed {
        file: Arc::clone(file),
        start: range.start + 4,
        stride: row_bytes,
        count,
        coding: Coding::Unsigned32,
        factor: 1.0,
        offset: 0.0,
        missing: None,
    };
    Ok(Rows {
        count,
        columns: Columns::Packed(PackedRows {
            file: Arc::clone(file),
            start: range.start + BEFORE_CHANNELS,
            row_bytes,
            coding,
            missing: configuration.kind.missing(),
        }),
        numbers,
        stamps: Stamps::Packed(stamps),
        problems: Vec::new(),
        problem_count: 0,
        notes,
    })
}

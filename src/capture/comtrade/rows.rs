use std::sync::Arc;

use crate::capture::RowProblem;
use crate::capture::packed::{Coding, Packed};
use crate::error::Note;

/// The samples of a record as they stand in its data, not yet on a time axis.
#[derive(Debug)]
pub(super) struct Rows {
    /// Rows in the data.
    pub(super) count: usize,
    pub(super) columns: Columns,
    /// Number of each row, where every row has one and they are not simply consecutive.
    pub(super) numbers: Option<Vec<f64>>,
    pub(super) stamps: Stamps,
    pub(super) problems: Vec<RowProblem>,
    pub(super) problem_count: usize,
    pub(super) notes: Vec<Note>,
}

/// The numbers of each analog channel, before factor and offset.
#[derive(Debug)]
pub(super) enum Columns {
    /// Read from text; NaN where there is no value.
    Plain(Vec<Vec<f64>>),
    /// Still in the file: where the first channel's first number stands.
    Packed(PackedRows),
}

/// Rows of binary data.
#[derive(Debug)]
pub(super) struct PackedRows {
    pub(super) file: Arc<Vec<u8>>,
    pub(super) start: usize,
    pub(super) row_bytes: usize,
    pub(super) coding: Coding,
    pub(super) missing: Option<i32>,
}

/// Time stamps in the unit of the record; NaN where a row has none.
#[derive(Debug)]
pub(super) enum Stamps {
    Plain(Vec<f64>),
    Packed(Packed),
}

impl Stamps {
    /// Stamp k.
    pub(super) fn at(&self, k: usize) -> Option<f64> {
        let stamp = match self {
            Self::Plain(stamps) => stamps.get(k).copied(),
            Self::Packed(packed) => (k < packed.count).then(|| packed.value(k)),
        };
        stamp.filter(|stamp| stamp.is_finite())
    }

    /// All of them.
    pub(super) fn all(&self) -> Vec<f64> {
        match self {
            Self::Plain(stamps) => stamps.clone(),
            Self::Packed(packed) => packed.all(),
        }
    }
}

use std::fmt::Debug;

use super::{Cell, Columns};

/// How a table is written as lines of text.
///
/// Numbers are the shortest that read back as the same ones.
pub trait RowText: Debug + Send + Sync {
    /// The line before the first row, when there is one.
    fn head(&self, columns: &Columns) -> Option<String>;

    /// Adds a row with the end of its line.
    fn row(&self, columns: &Columns, cells: &[Cell<'_>], text: &mut String);

    /// The circuit a line belongs to.
    fn circuit(&self, line: &str) -> Option<u64>;
}

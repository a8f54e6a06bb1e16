use super::{Cell, Column};

/// How high the rows of a table are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RowHeight {
    /// As high as their text.
    Text,
    /// High enough to write in with a pencil and gloves off.
    Pencil,
}

/// A table; its head is repeated on every sheet it runs over. The first cell of a row is the row's
/// own head.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Table {
    /// What it shows.
    pub caption: String,
    /// Its columns.
    pub columns: Vec<Column>,
    /// Its rows, each with one cell for every column.
    pub rows: Vec<Vec<Cell>>,
    /// How high they are.
    pub height: RowHeight,
}

impl Table {
    /// A table to be read.
    ///
    /// # Panics
    /// When a row has another number of cells than there are columns: that is a slip of ours.
    #[must_use]
    pub fn new(caption: impl Into<String>, columns: Vec<Column>, rows: Vec<Vec<Cell>>) -> Self {
        let fits = rows.iter().all(|row| row.len() == columns.len());
        assert!(fits, "every row of a table has one cell for each column");
        Self { caption: caption.into(), columns, rows, height: RowHeight::Text }
    }

    /// The same table with rows to write in.
    #[must_use]
    pub fn for_pencil(mut self) -> Self {
        self.height = RowHeight::Pencil;
        self
    }
}

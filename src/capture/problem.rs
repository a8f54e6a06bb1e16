/// A row of the file that could not be used as it stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RowProblem {
    /// Row, counted from 1 at the first row of data.
    pub row: usize,
    /// Line of the file, counted from 1.
    pub line: usize,
    /// Column of the file, counted from 1, for a short row the first that is missing; `None` when the whole row is concerned.
    pub column: Option<usize>,
    /// What is the matter.
    pub kind: RowProblemKind,
}

/// What is the matter with a row or a cell.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum RowProblemKind {
    /// Nothing in the row.
    EmptyRow,
    /// Text where numbers should be, such as a comment.
    TextRow(String),
    /// The row ends before the last column; its last cell may be cut and is not used either.
    ShortRow,
    /// Nothing in the cell.
    EmptyCell,
    /// Text in the cell, such as "OL".
    TextCell(String),
    /// Not a number, or infinite.
    NonFinite(String),
    /// Cells beyond the usual number; the values are used.
    SurplusCells,
}

impl RowProblemKind {
    /// Whether a value is missing because of it.
    #[must_use]
    pub fn leaves_gap(&self) -> bool {
        !matches!(self, Self::SurplusCells)
    }
}

impl std::fmt::Display for RowProblemKind {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::EmptyRow => write!(f, "empty row"),
            Self::TextRow(text) => write!(f, "text instead of numbers (\"{text}\")"),
            Self::ShortRow => write!(f, "short row"),
            Self::EmptyCell => write!(f, "empty cell"),
            Self::TextCell(text) => write!(f, "\"{text}\" instead of a number"),
            Self::NonFinite(text) => write!(f, "\"{text}\" is no finite number"),
            Self::SurplusCells => write!(f, "more cells than usual"),
        }
    }
}

impl std::fmt::Display for RowProblem {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "row {} (line {}", self.row, self.line)?;
        if let Some(column) = self.column {
            write!(f, ", column {column}")?;
        }
        write!(f, "): {}", self.kind)
    }
}

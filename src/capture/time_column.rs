use super::ColumnChoice;

/// Where the time axis comes from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum TimeColumn {
    /// The column that looks like time (`Auto`) or the one named; none is allowed with `Auto`.
    Column(ColumnChoice),
    /// No column is a time axis; the sample rate comes from the caller or from the header.
    Absent,
}

impl Default for TimeColumn {
    fn default() -> Self {
        Self::Column(ColumnChoice::Auto)
    }
}

/// How a NumPy array was understood.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ArrayLayout {
    /// Kind of number as the file names it, such as `<f8`.
    pub number: String,
    /// Samples and channels.
    pub shape: (usize, usize),
    /// Whether the array holds a channel in each row instead of each column.
    pub channels_in_rows: bool,
    /// Column used as time axis, counted from 1.
    pub time_column: Option<usize>,
}

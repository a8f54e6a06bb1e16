use super::{DecimalMark, Limits, Separator, Side, TimeColumn};

/// What the caller knows better than the file; everything left out is found from the content.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ReadOptions {
    /// What stands between two cells.
    pub separator: Option<Separator>,
    /// Decimal point or decimal comma.
    pub decimal_mark: Option<DecimalMark>,
    /// Where the time axis comes from.
    pub time_column: TimeColumn,
    /// Unit of the time column, such as "ms"; outranks what the file says.
    pub time_unit: Option<String>,
    /// Samples per second; outranks the time column and the header.
    pub sample_rate_hz: Option<f64>,
    /// Side of the instrument transformers the values are wanted on; `None` as the file has them.
    pub side: Option<Side>,
    /// Which part of a record with several sample rates, counted from 1; `None` is the one with most
    /// samples.
    pub section: Option<usize>,
    /// How much is held in memory.
    pub limits: Limits,
}

use super::{ColumnChoice, FullScale};

/// Which channel is the current, and how its numbers become amperes.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ChannelOptions {
    /// The column of the current.
    pub column: ColumnChoice,
    /// Unit of that column, such as "mA"; outranks what the file says.
    pub unit: Option<String>,
    /// What full scale of the converter means, for sound and other plain counts.
    pub full_scale: Option<FullScale>,
    /// What the clamp gives out, in volts per ampere, when the column is in volts.
    pub clamp_v_per_a: Option<f64>,
}

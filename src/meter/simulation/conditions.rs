/// What a sheet's limits of error depend on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Conditions {
    /// The number on the display.
    pub reading_a: f64,
    /// Crest factor of the current at the range; `None` when there is none.
    pub crest_factor: Option<f64>,
    /// Frequency of the current.
    pub frequency_hz: f64,
    /// Temperature of the meter, where it is known.
    pub ambient_degc: Option<f64>,
}

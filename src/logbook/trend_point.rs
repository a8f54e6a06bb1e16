use jiff::civil::Date;

/// The reading that counts at one step of one visit.
#[derive(Clone, Debug, PartialEq)]
pub struct TrendPoint {
    /// The visit.
    pub visit: u64,
    /// The reading's entry.
    pub entry: u64,
    /// Day of the visit.
    pub day: Date,
    /// The meter.
    pub meter: String,
    /// The number on the display.
    pub shown_a: f64,
    /// Best estimate of the true current, RMS.
    pub true_rms_a: Option<f64>,
    /// Its standard uncertainty.
    pub standard_uncertainty_a: Option<f64>,
    /// Nominal of the step as it was judged.
    pub nominal_a: Option<f64>,
    /// Lower limit of its band.
    pub low_a: Option<f64>,
    /// Upper limit of its band.
    pub high_a: Option<f64>,
}

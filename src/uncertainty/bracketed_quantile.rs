/// A quantile read off a sample, with how well the sample fixes it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BracketedQuantile {
    /// The quantile.
    pub value: f64,
    /// Lower end of its own 95 % confidence interval.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

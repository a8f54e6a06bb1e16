/// A coverage interval: where a value lies with a stated probability.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Interval {
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// Probability that the interval covers the true value.
    pub coverage_probability: f64,
}

impl Interval {
    /// Upper less lower end.
    #[must_use]
    pub fn width(&self) -> f64 {
        self.high - self.low
    }
}

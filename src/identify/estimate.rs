use super::Parameter;

/// One free value as the captures tell it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// Which value.
    pub parameter: Parameter,
    /// Where the search began, in the parameter's unit.
    pub start: f64,
    /// The estimate.
    pub value: f64,
    /// Its standard uncertainty in the same unit; `None` when the captures do not depend on it.
    pub standard_uncertainty: Option<f64>,
    /// The interval that covers the true value with the coverage asked for.
    pub interval: Option<(f64, f64)>,
    /// Whether it went to the end of what is looked at.
    pub is_at_end: bool,
    /// Whether it lies inside that and the uncertainty is small enough for the estimate to mean something.
    pub is_told: bool,
}

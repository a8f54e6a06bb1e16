/// One reading of something that drifts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DriftReading {
    /// When, in any unit of time.
    pub time: f64,
    /// What was read.
    pub value: f64,
    /// Its standard uncertainty, without what all readings have in common; positive.
    pub standard_uncertainty: f64,
    /// Whether something was set since the reading before: a new level begins here.
    pub begins_level: bool,
}

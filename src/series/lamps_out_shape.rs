use super::FieldPoint;

/// What changes with lamps out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LampsOutShape {
    /// Peak over RMS of the output current.
    pub crest_factor: f64,
    /// Error of an average-responding indication scaled to the RMS of a sine.
    pub average_responding_error_ratio: f64,
    /// Largest magnitude of the voltage at the output terminals.
    pub output_peak_v: f64,
    /// Highest voltage across an open secondary; `None` when none is open.
    pub open_secondary_peak_v: Option<f64>,
    /// Firing delay.
    pub delay_rad: f64,
}

impl LampsOutShape {
    /// What is kept of an operating point.
    #[must_use]
    pub fn of(point: &FieldPoint) -> Option<Self> {
        Some(Self {
            crest_factor: point.crest_factor()?,
            average_responding_error_ratio: point.average_responding_error_ratio(),
            output_peak_v: point.power.voltage_peak_v,
            open_secondary_peak_v: point.open_secondary_peak_v(),
            delay_rad: point.delay_rad(),
        })
    }
}

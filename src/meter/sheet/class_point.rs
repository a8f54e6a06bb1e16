/// Limits of error of a current transformer at one share of its rated current.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ClassPoint {
    /// Primary current over rated current.
    pub share_ratio: f64,
    /// Largest error of the ratio, either sign.
    pub error_ratio: f64,
    /// Largest displacement of the phase, either sign; `None` where the class sets none.
    pub phase_rad: Option<f64>,
}

/// How far the class of an iron-core clamp lets its ratio be off at one current.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ClampLimit {
    /// Largest error of the ratio, either sign.
    pub error_ratio: f64,
    /// Largest displacement of the phase, either sign; `None` where the class sets none.
    pub phase_rad: Option<f64>,
    /// Whether the class speaks of this current at all; outside its table the limit is carried on by
    /// our own rule.
    pub is_within_table: bool,
}

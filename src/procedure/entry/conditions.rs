use serde::{Deserialize, Serialize};

/// The conditions of a visit; what nobody wrote down is absent.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Conditions {
    /// Temperature at the meter.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ambient_degc: Option<f64>,
    /// Supply voltage, RMS.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub supply_rms_v: Option<f64>,
    /// Output tap in use.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tap: Option<String>,
    /// Weather and anything else.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub remark: Option<String>,
}

use serde::{Deserialize, Serialize};

use super::{Output, ProtectionKind};

/// A protection was set and tried.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ProtectionProof {
    /// Which one.
    pub protection: ProtectionKind,
    /// What the output was connected to.
    pub output: Output,
    /// The set-point asked for, true RMS.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub set_rms_a: Option<f64>,
    /// What the meter showed when it acted, or the most it showed when it did not.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shown_a: Option<f64>,
    /// The true current that means, RMS, best estimate.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub true_rms_a: Option<f64>,
    /// Whether it acted.
    pub acted: bool,
    /// How long it took.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub time_s: Option<f64>,
    /// Shortest time allowed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shortest_s: Option<f64>,
    /// Longest time allowed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub longest_s: Option<f64>,
    /// Where those limits come from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub limits_source: Option<String>,
    /// Anything else.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub remark: Option<String>,
}

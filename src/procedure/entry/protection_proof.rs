use serde::{Deserialize, Serialize};

use crate::error::{Bounds, Result};
use crate::units::{self, Dimension};

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

impl ProtectionProof {
    /// A time someone took by hand.
    pub const TIME_S: Bounds = Bounds::new("time until it acted", "s", 0.0, 600.0);

    /// The time someone typed, in seconds: "3.4", "3,4", "3.4 s" or "400 ms".
    ///
    /// # Errors
    /// `Malformed` for what is no time; `OutOfRange` for one beyond [`Self::TIME_S`].
    pub fn typed_time(text: &str) -> Result<f64> {
        let time_s = match units::parse_number(text) {
            Some(time_s) => time_s,
            None => units::parse(text, Dimension::Time)?,
        };
        Self::TIME_S.check(time_s)
    }
}

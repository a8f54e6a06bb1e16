use jiff::civil::Date;
use serde::{Deserialize, Serialize};

/// A meter was found to read wrong over a time: every reading of it in that time is in question.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct MeterDoubt {
    /// The meter.
    pub meter: String,
    /// First day in question, such as that of its last good certificate.
    pub from: Date,
    /// Last day in question.
    pub until: Date,
    /// What it showed too much, as a ratio of the true value; negative when it showed too little.
    pub error_ratio: f64,
    /// How that was found.
    pub reason: String,
}

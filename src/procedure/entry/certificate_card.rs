use jiff::civil::Date;
use serde::{Deserialize, Serialize};

/// A certificate of a meter.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct CertificateCard {
    /// The meter.
    pub meter: String,
    /// Number of the certificate.
    pub number: String,
    /// Day of the calibration.
    pub date: Date,
    /// Last day on which it counts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub due: Option<Date>,
    /// Expanded uncertainty as a ratio of the reading.
    pub expanded_ratio: f64,
    /// Its coverage factor.
    pub coverage_factor: f64,
}

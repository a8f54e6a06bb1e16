use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use super::Conditions;

/// A visit begins. Everything a judgement of its readings rests on is kept here as it was on the
/// day, so that each can be computed again.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Opening {
    /// The regulator.
    pub regulator: String,
    /// The circuit it carries.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub circuit: Option<String>,
    /// The meter.
    pub meter: String,
    /// The day, at the place.
    pub day: Date,
    /// Who does it.
    pub person: String,
    /// Under which conditions.
    #[serde(default)]
    pub conditions: Conditions,
    /// The description (TOML) of regulator, steps, bands and field, whole.
    pub description: String,
    /// The meter's data sheet (TOML, one `[[meter]]`) with its certificate, whole.
    pub sheet: String,
    /// The procedure (TOML) followed, whole.
    pub procedure: String,
    /// Probability with which the true current must lie in its band.
    pub conformance_probability: f64,
}

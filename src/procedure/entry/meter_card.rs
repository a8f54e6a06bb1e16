use serde::{Deserialize, Serialize};

/// A meter as the logbook knows it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct MeterCard {
    /// Its name at the place; the key everything else refers to.
    pub name: String,
    /// Serial number.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub serial: Option<String>,
    /// Its data sheet as a TOML text with one `[[meter]]`, as it was read.
    pub sheet: String,
    /// Anything else.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub remark: Option<String>,
}

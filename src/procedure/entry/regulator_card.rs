use serde::{Deserialize, Serialize};

/// A regulator as the logbook knows it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct RegulatorCard {
    /// Its name at the place, such as "R-07"; the key everything else refers to.
    pub name: String,
    /// Where it stands.
    pub place: String,
    /// Serial number on its plate.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub serial: Option<String>,
    /// The description (TOML) of supply, steps, bands and regulator, whole, as it was read.
    pub description: String,
    /// Anything else.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub remark: Option<String>,
}

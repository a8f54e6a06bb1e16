use serde::{Deserialize, Serialize};

/// A circuit as the logbook knows it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct CircuitCard {
    /// Its name at the place; the key everything else refers to.
    pub name: String,
    /// The regulator that feeds it.
    pub regulator: String,
    /// What it lights.
    pub lights: String,
    /// Anything else.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub remark: Option<String>,
}

use serde::{Deserialize, Serialize};

/// An item of the procedure was answered.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Confirmation {
    /// Key of the item.
    pub item: String,
    /// Whether it is so; absent for a question that wants words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub holds: Option<bool>,
    /// Words that were asked for, or why it is not so.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub text: Option<String>,
}

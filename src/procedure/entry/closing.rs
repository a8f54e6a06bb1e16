use jiff::civil::Date;
use serde::{Deserialize, Serialize};

/// A visit ends.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Closing {
    /// Whether the procedure was gone through to its end.
    pub complete: bool,
    /// Who answers for it.
    pub person: String,
    /// Next due day.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub next_due: Option<Date>,
    /// Why it ends before its end, or anything else.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub remark: Option<String>,
}

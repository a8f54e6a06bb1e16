use serde::{Deserialize, Serialize};

/// Why a number was asked about again before it was written down.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct ReadingDoubt {
    /// Stable short name.
    pub code: String,
    /// One sentence for a person.
    pub text: String,
}

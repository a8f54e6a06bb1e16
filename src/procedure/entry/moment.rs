use serde::{Deserialize, Serialize};

/// When a step was read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Moment {
    /// Before anything was adjusted.
    AsFound,
    /// After it was adjusted, or left alone.
    AsLeft,
}

impl Moment {
    /// Plain words for tables.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::AsFound => "as found",
            Self::AsLeft => "as left",
        }
    }

    /// The name used in files.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::AsFound => "as-found",
            Self::AsLeft => "as-left",
        }
    }
}

use serde::{Deserialize, Serialize};

use crate::assess::instrument::Connection;

/// What the output was connected to while something was read or tried.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Output {
    /// Output shorted.
    Shorted,
    /// The field connected.
    Field,
}

impl Output {
    /// The same as the judgement of meters knows it.
    #[must_use]
    pub fn connection(self) -> Connection {
        match self {
            Self::Shorted => Connection::Shorted,
            Self::Field => Connection::Loaded,
        }
    }

    /// Plain words for tables.
    #[must_use]
    pub fn words(self) -> &'static str {
        self.connection().words()
    }

    /// The name used in files.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::Shorted => "shorted",
            Self::Field => "field",
        }
    }
}

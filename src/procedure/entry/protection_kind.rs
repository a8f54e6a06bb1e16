use serde::{Deserialize, Serialize};

/// A protection of the output.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ProtectionKind {
    /// Switches off when the current is too high for too long.
    Overcurrent,
    /// Switches off when the circuit is open.
    OpenCircuit,
}

impl ProtectionKind {
    /// Plain words for tables.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Overcurrent => "overcurrent protection",
            Self::OpenCircuit => "open-circuit protection",
        }
    }

    /// The name used in files.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::Overcurrent => "overcurrent",
            Self::OpenCircuit => "open-circuit",
        }
    }
}

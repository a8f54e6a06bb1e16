/// What the regulator's output is connected to while the meter is read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Connection {
    /// Output shorted, as for setting the steps.
    Shorted,
    /// The field connected, as in service.
    Loaded,
}

impl Connection {
    /// Plain words for tables.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Shorted => "output shorted",
            Self::Loaded => "field connected",
        }
    }

    /// The name used in files.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::Shorted => "shorted",
            Self::Loaded => "loaded",
        }
    }
}

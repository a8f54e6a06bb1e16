/// What stands in a cell of a table or beside a name.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Cell {
    /// A text.
    Text(String),
    /// A text that matters.
    Strong(String),
    /// Nothing is known: the words say why.
    Absent(String),
    /// Room for a pencil.
    Blank,
}

impl Cell {
    /// A text.
    #[must_use]
    pub fn text(text: impl Into<String>) -> Self {
        Self::Text(text.into())
    }

    /// A text, or the words that say it is not known.
    #[must_use]
    pub fn known(text: Option<String>, absent: &str) -> Self {
        text.map_or_else(|| Self::Absent(absent.to_owned()), Self::Text)
    }

    /// What is written in it; nothing in a blank.
    #[must_use]
    pub fn words(&self) -> &str {
        match self {
            Self::Text(text) | Self::Strong(text) | Self::Absent(text) => text,
            Self::Blank => "",
        }
    }
}

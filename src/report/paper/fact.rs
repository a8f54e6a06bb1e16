use super::Cell;

/// A name with what belongs to it.
#[derive(Clone, Debug, PartialEq)]
pub struct Fact {
    /// The name.
    pub name: String,
    /// What belongs to it.
    pub value: Cell,
}

impl Fact {
    /// A name and its text.
    #[must_use]
    pub fn new(name: impl Into<String>, value: impl Into<String>) -> Self {
        Self { name: name.into(), value: Cell::text(value) }
    }

    /// A name and its text, or the words that say it is not known.
    #[must_use]
    pub fn known(name: impl Into<String>, value: Option<String>, absent: &str) -> Self {
        Self { name: name.into(), value: Cell::known(value, absent) }
    }

    /// A name with room for a pencil.
    #[must_use]
    pub fn blank(name: impl Into<String>) -> Self {
        Self { name: name.into(), value: Cell::Blank }
    }
}

/// On which side the texts of a column stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Align {
    /// At the left: words.
    Start,
    /// At the right: numbers with the same decimals.
    End,
}

/// The head of a column of a table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Column {
    /// What stands below, with its unit.
    pub head: String,
    /// On which side.
    pub align: Align,
}

impl Column {
    /// A column of words.
    #[must_use]
    pub fn words(head: &str) -> Self {
        Self { head: head.to_owned(), align: Align::Start }
    }

    /// A column of numbers.
    #[must_use]
    pub fn numbers(head: &str) -> Self {
        Self { head: head.to_owned(), align: Align::End }
    }
}

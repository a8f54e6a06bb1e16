/// A piece of a line that is filled in by hand.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Blank {
    /// What is printed.
    Words(String),
    /// Room to write in.
    Gap,
    /// A box to tick, with what it says.
    Tick(String),
}

impl Blank {
    /// What is printed; nothing in a gap.
    #[must_use]
    pub fn words(&self) -> &str {
        match self {
            Self::Words(words) | Self::Tick(words) => words,
            Self::Gap => "",
        }
    }
}

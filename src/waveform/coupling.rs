/// Whether the mean of the current is kept or removed before anything else is done.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Coupling {
    /// The mean is removed: what comes through a current transformer.
    Ac,
    /// The mean is kept: what a shunt or a Hall sensor passes.
    Dc,
}

impl Coupling {
    /// "AC" or "AC+DC", as written on instruments.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Ac => "AC",
            Self::Dc => "AC+DC",
        }
    }
}

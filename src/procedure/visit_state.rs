/// How far a visit is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum VisitState {
    /// Not closed: it can be gone on with.
    Open,
    /// Gone through to its end.
    Complete,
    /// Closed before its end.
    Broken,
}

impl VisitState {
    /// Plain words for tables.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Open => "open",
            Self::Complete => "complete",
            Self::Broken => "broken off",
        }
    }
}

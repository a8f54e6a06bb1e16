/// Whether an ideal meter of this law may set this step, as far as its law decides.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Fitness {
    /// Trimming to the nominal by this meter leaves the true current inside the band.
    Fit,
    /// Trimming to the nominal by this meter leaves the true current outside the band.
    NotFit,
    /// The meter shows nothing of this current, so nothing can be trimmed by it.
    Blind,
}

impl Fitness {
    /// Plain words for tables.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Fit => "fit",
            Self::NotFit => "not fit",
            Self::Blind => "shows nothing",
        }
    }
}

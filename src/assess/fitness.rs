/// Whether an ideal meter of this law may set this step, as far as its law decides.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Fitness {
    /// Trimming to the nominal by this meter leaves the true current inside the band.
    Fit,
    /// As [`Self::Fit`], but the law alone uses more than half of the room to the band's edge:
    /// accuracy and resolution of a real meter come on top.
    Tight,
    /// Trimming to the nominal by this meter leaves the true current outside the band.
    NotFit,
    /// The meter shows nothing of this current, so nothing can be trimmed by it.
    Blind,
}

impl Fitness {
    /// Share of the room beyond which a fit is called tight. Our own choice: with half of the room
    /// gone, a meter needs an accuracy better than the other half.
    pub const TIGHT_FROM_RATIO: f64 = 0.5;

    /// Plain words for tables.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Fit => "fit",
            Self::Tight => "tight",
            Self::NotFit => "not fit",
            Self::Blind => "shows nothing",
        }
    }
}

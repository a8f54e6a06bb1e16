/// What the number on a meter's face stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Indication {
    /// The true RMS of the current.
    TrueRms,
    /// The average rectified value times π/(2√2): the RMS of a sine with that average.
    AverageScaledToRms,
    /// The peak divided by √2: the RMS of a sine with that peak.
    PeakScaledToRms,
}

impl Indication {
    /// Plain words for tables.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::TrueRms => "true RMS",
            Self::AverageScaledToRms => "average, scaled as for a sine",
            Self::PeakScaledToRms => "peak, scaled as for a sine",
        }
    }
}

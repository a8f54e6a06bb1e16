/// What can be measured of a current's shape.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ShapeQuantity {
    /// Peak over RMS.
    CrestFactor,
    /// Indication of an average-responding instrument scaled to the RMS of a sine, over the true
    /// RMS: 1 on a sine.
    AverageOverRms,
}

impl ShapeQuantity {
    /// The quantity in words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::CrestFactor => "crest factor",
            Self::AverageOverRms => "average-responding indication over true RMS",
        }
    }
}

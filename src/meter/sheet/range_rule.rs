/// How a meter comes to a range.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum RangeRule {
    /// The person chooses; the number counts the ranges from the lowest, 0 being the first.
    Manual(usize),
    /// The lowest range whose full scale is not below the reading.
    AutoByReading,
    /// The lowest range whose full scale is not below the reading and whose crest limit is not below
    /// the peak.
    AutoByReadingAndPeak,
}

impl RangeRule {
    /// The name used in files.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::Manual(_) => "manual",
            Self::AutoByReading => "auto",
            Self::AutoByReadingAndPeak => "auto-by-peak",
        }
    }
}

/// What the program knows about a question and shows before it is answered.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum FindingKind {
    /// The meter's certificate against the day of the visit.
    Certificate,
    /// The meter's voltage category against the voltage of the loop.
    Category,
    /// The verdict on the meter at every step.
    Verdict,
    /// How this meter is fitted, and what it is set to.
    Fitting,
    /// Every step with the field connected against the same shorted, and what the model expects.
    Differences,
}

impl FindingKind {
    /// Every kind.
    pub const ALL: [Self; 5] =
        [Self::Certificate, Self::Category, Self::Verdict, Self::Fitting, Self::Differences];

    /// The name used in files.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::Certificate => "certificate",
            Self::Category => "category",
            Self::Verdict => "verdict",
            Self::Fitting => "fitting",
            Self::Differences => "differences",
        }
    }

    /// The kind with that name.
    #[must_use]
    pub fn from_key(key: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.key() == key)
    }
}

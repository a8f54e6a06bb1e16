/// What judging every reading again from its visit's opening came to.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Recomputation {
    /// How many readings come out as they were judged.
    pub same: u64,
    /// How many were never judged.
    pub unjudged: u64,
    /// What comes out otherwise.
    pub differing: Vec<Differing>,
    /// Visits whose opening can no longer be worked with, and why.
    pub failed: Vec<(u64, String)>,
}

/// One value of a judgement that comes out otherwise than it stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Differing {
    /// The visit.
    pub visit: u64,
    /// The reading's entry.
    pub entry: u64,
    /// The program that judged it then.
    pub program: String,
    /// The field of the judgement.
    pub field: String,
    /// What stands in the logbook; `None` when it is absent.
    pub stored: Option<String>,
    /// What comes out now.
    pub now: Option<String>,
}

impl Recomputation {
    /// Whether everything comes out as it stands.
    #[must_use]
    pub fn holds(&self) -> bool {
        self.differing.is_empty() && self.failed.is_empty()
    }
}

use super::Head;

/// What looking through a whole logbook found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Verification {
    /// How many entries were looked at.
    pub entries: u64,
    /// The last one that fits.
    pub head: Option<Head>,
    /// What does not fit; of the chain only the first, since nothing after it can be trusted.
    pub misfits: Vec<Misfit>,
    /// How many entries follow the one whose hash was given.
    pub since_head: Option<u64>,
}

/// Something in a logbook that is not as it was written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Misfit {
    /// The entry it concerns.
    pub number: Option<u64>,
    /// Stable short name.
    pub code: &'static str,
    /// One sentence.
    pub text: String,
}

impl Verification {
    /// Whether everything is as it was written.
    #[must_use]
    pub fn holds(&self) -> bool {
        self.misfits.is_empty()
    }
}

/// What a stage's timer does when the current falls below the pick-up before the delay is over.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum ResetRule {
    /// It begins anew.
    #[default]
    AtOnce,
    /// It runs back as fast as it ran up: short dips do not wipe out what went before.
    RunsBack,
}

impl ResetRule {
    /// Every rule.
    pub const ALL: [Self; 2] = [Self::AtOnce, Self::RunsBack];

    /// The name used in files.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::AtOnce => "at-once",
            Self::RunsBack => "runs-back",
        }
    }

    /// The rule with that name.
    #[must_use]
    pub fn from_key(key: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|rule| rule.key() == key)
    }
}

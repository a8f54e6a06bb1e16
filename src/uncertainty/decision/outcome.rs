/// What is stated about a measured value, in four words.
///
/// # Source
/// ILAC-G8:09/2019, 4.2.3: non-binary statements with a guard band.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Outcome {
    /// Inside the acceptance limits.
    Pass,
    /// Inside the tolerance, but within the guard band of its edge.
    ConditionalPass,
    /// Outside the tolerance, but by no more than the guard band.
    ConditionalFail,
    /// Outside the tolerance by more than the guard band.
    Fail,
}

impl Outcome {
    /// Plain words for tables.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Pass => "pass",
            Self::ConditionalPass => "conditional pass",
            Self::ConditionalFail => "conditional fail",
            Self::Fail => "fail",
        }
    }

    /// The name used in files.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::Pass => "pass",
            Self::ConditionalPass => "conditional-pass",
            Self::ConditionalFail => "conditional-fail",
            Self::Fail => "fail",
        }
    }
}

use super::Detector;

/// A meter as the description names it: a name and a detector law.
#[derive(Clone, Debug, PartialEq)]
pub struct Meter {
    /// The user's name for it.
    pub name: String,
    /// Its law.
    pub detector: Detector,
}

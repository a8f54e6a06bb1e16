use super::{Detector, Sheet};

/// A meter as the description names it: a name, a detector law, and its data sheet where one is
/// given.
#[derive(Clone, Debug, PartialEq)]
pub struct Meter {
    /// The user's name for it.
    pub name: String,
    /// Its law; that of the sheet where there is one.
    pub detector: Detector,
    /// Its data sheet; `None` for an ideal meter, known by its law alone.
    pub sheet: Option<Sheet>,
}

impl Meter {
    /// An ideal meter: nothing but its law is known.
    #[must_use]
    pub fn ideal(name: impl Into<String>, detector: Detector) -> Self {
        Self { name: name.into(), detector, sheet: None }
    }

    /// A meter with its data sheet.
    #[must_use]
    pub fn with_sheet(name: impl Into<String>, sheet: Sheet) -> Self {
        Self { name: name.into(), detector: sheet.detector, sheet: Some(sheet) }
    }
}

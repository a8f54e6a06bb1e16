use super::{FindingKind, ItemKind};

/// One thing to confirm, answer, read or try.
#[derive(Clone, Debug, PartialEq)]
pub struct Item {
    /// Its name in files and entries.
    pub key: String,
    /// What it asks for.
    pub kind: ItemKind,
    /// What is asked or to be done, in words.
    pub text: String,
    /// The same in a line, its cautions included, for the worksheet; the text itself when left out.
    pub short: Option<String>,
    /// Why; shown when someone asks.
    pub why: Option<String>,
    /// Cautions that belong right here; always shown.
    pub cautions: Vec<String>,
    /// Keys of earlier items that must hold before.
    pub after: Vec<String>,
    /// Key of the later item with whose "yes" this one need hold no more. Until then it is asked again
    /// when a visit goes on on another day or with another person; `None` for one that is asked once.
    pub until: Option<String>,
}

impl Item {
    /// What the program shows before it asks.
    #[must_use]
    pub fn shows(&self) -> Option<FindingKind> {
        match self.kind {
            ItemKind::Confirm { shows, .. } | ItemKind::Ask { shows, .. } => shows,
            _ => None,
        }
    }
}

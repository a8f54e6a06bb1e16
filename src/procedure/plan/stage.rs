use super::Item;

/// Items that belong together.
#[derive(Clone, Debug, PartialEq)]
pub struct Stage {
    /// Its name in files.
    pub key: String,
    /// Its heading.
    pub title: String,
    /// What it is for.
    pub why: Option<String>,
    /// Its items, in order.
    pub items: Vec<Item>,
}

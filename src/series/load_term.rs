/// One reason for a difference, with its share of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LoadTerm {
    /// Stable short name.
    pub key: &'static str,
    /// What it adds to the sum of numbers.
    pub difference_va: f64,
    /// The reason in words.
    pub words: &'static str,
}

use crate::plot::Drawing;

/// A finished figure in a text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Picture {
    /// What it shows, for who cannot see it.
    pub alternative: String,
    /// The figure.
    pub drawing: Drawing,
}

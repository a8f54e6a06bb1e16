use super::{Ink, TextLook};

/// A label in the column beside a panel, joined by a line to the height it speaks of.
#[derive(Clone, Debug, PartialEq)]
pub struct Callout {
    /// Horizontal place in the panel where the line starts.
    pub x: f64,
    /// Height in the panel.
    pub y: f64,
    /// One line each, with its look.
    pub lines: Vec<(String, TextLook)>,
    /// Colour of the joining line.
    pub ink: Ink,
}

impl Callout {
    /// Line height against the size of the type.
    pub(super) const LEADING_RATIO: f64 = 1.22;
    /// Space above and below a label together.
    pub(super) const GAP_PX: f64 = 9.0;

    /// Height of the label with the space around it.
    pub(super) fn height_px(&self) -> f64 {
        let lines: f64 = self.lines.iter().map(|(_, look)| look.size_px).sum();
        lines * Self::LEADING_RATIO + Self::GAP_PX
    }
}

use super::{Element, TextRun};

/// A figure laid out: every line, mark and text with its place on the canvas.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Scene {
    /// In the order of drawing.
    pub elements: Vec<Element>,
}

impl Scene {
    /// The texts, in the order of drawing.
    pub fn texts(&self) -> impl Iterator<Item = &TextRun> {
        self.elements.iter().filter_map(|element| match element {
            Element::Text(run) => Some(run),
            _ => None,
        })
    }
}

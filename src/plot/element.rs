use super::font;
use super::{Anchor, Face, Ink, Marker, Rect, Stroke, TextLook};

/// One thing on the canvas, in pixels.
#[derive(Clone, Debug, PartialEq)]
pub enum Element {
    /// A filled polygon.
    Fill {
        /// Its corners.
        points_px: Vec<(f64, f64)>,
        /// Its colour.
        ink: Ink,
    },
    /// An open line.
    Line {
        /// Its points.
        points_px: Vec<(f64, f64)>,
        /// Its look.
        stroke: Stroke,
    },
    /// A mark.
    Mark {
        /// Its middle.
        at_px: (f64, f64),
        /// Its radius.
        radius_px: f64,
        /// Its outline.
        marker: Marker,
        /// Its colour.
        ink: Ink,
        /// Full or open.
        face: Face,
    },
    /// A line of text.
    Text(TextRun),
}

/// A line of text on the canvas.
#[derive(Clone, Debug, PartialEq)]
pub struct TextRun {
    /// The text.
    pub text: String,
    /// Where its anchor stands; vertically the middle of the small letters.
    pub at_px: (f64, f64),
    /// Which point of the text stands there.
    pub anchor: Anchor,
    /// Its look.
    pub look: TextLook,
    /// Turned to be read from the right-hand side.
    pub upright: bool,
}

impl TextRun {
    /// The room the text takes: its width by the font's own numbers, its height from the top of a
    /// capital to the bottom of a hanging letter.
    ///
    /// # Source
    /// The embedded font: capitals 0.73, small letters 0.55, descenders 0.24 of the type size.
    #[must_use]
    pub fn bounds_px(&self) -> Rect {
        let width_px = font::width_px(&self.text, self.look.size_px, self.look.weight);
        let before_px = match self.anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => 0.5 * width_px,
            Anchor::End => width_px,
        };
        let half_px = 0.5 * self.look.size_px;
        let (x_px, y_px) = self.at_px;
        if self.upright {
            // Turned a quarter to the left: what was to the right is now above.
            let bottom_px = y_px + before_px;
            return Rect::new(x_px - half_px, bottom_px - width_px, x_px + half_px, bottom_px);
        }
        let left_px = x_px - before_px;
        Rect::new(left_px, y_px - half_px, left_px + width_px, y_px + half_px)
    }
}

use super::{Anchor, Callout, Face, Ink, Marker, Stroke, TextLook};

/// One thing in a panel. Places are in the units of the panel's axes unless the name says pixels.
#[derive(Clone, Debug, PartialEq)]
pub enum Item {
    /// A shaded rectangle.
    Area {
        /// Left and right edge.
        x: (f64, f64),
        /// Lower and upper edge.
        y: (f64, f64),
        /// Its colour.
        ink: Ink,
        /// A line along its upper and lower edges.
        edge: Option<Stroke>,
    },
    /// A curve.
    Curve {
        /// Its points.
        points: Vec<(f64, f64)>,
        /// Its line.
        stroke: Stroke,
    },
    /// A level across the whole panel; the label finds a place where no curve runs.
    Level {
        /// The height.
        y: f64,
        /// Its line.
        stroke: Stroke,
        /// What is written along it.
        label: Option<(String, TextLook)>,
    },
    /// A mark at a place, or beside it by so many pixels (right, down).
    Mark {
        /// The place.
        at: (f64, f64),
        /// Distance from it.
        offset_px: (f64, f64),
        /// Its outline.
        marker: Marker,
        /// Its colour.
        ink: Ink,
        /// Full or open.
        face: Face,
        /// Its radius.
        radius_px: f64,
    },
    /// A text at a place, or beside it by so many pixels (right, down).
    Label {
        /// The place.
        at: (f64, f64),
        /// Distance from it.
        offset_px: (f64, f64),
        /// Which point of the text stands there.
        anchor: Anchor,
        /// The text.
        text: String,
        /// Its look.
        look: TextLook,
        /// Turned to be read from the right-hand side.
        upright: bool,
    },
    /// A small drawing without a scale; its points run from −1 to 1 both ways, y upwards.
    Sketch {
        /// The place of its middle.
        at: (f64, f64),
        /// Distance from it.
        offset_px: (f64, f64),
        /// Half its width and half its height.
        half_px: (f64, f64),
        /// The points.
        points: Vec<(f64, f64)>,
        /// Its line.
        stroke: Stroke,
    },
    /// Labels in a column beside the panel, pushed apart until none covers another.
    Callouts {
        /// Distance of the column from the panel's right edge.
        offset_px: f64,
        /// The labels.
        entries: Vec<Callout>,
    },
}

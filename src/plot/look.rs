use super::{Ink, Weight};

/// How a line is broken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Dash {
    /// Unbroken.
    Solid,
    /// Long strokes.
    Dashed,
    /// Short strokes.
    Dotted,
}

impl Dash {
    /// Lengths of stroke and gap; `None` for an unbroken line.
    pub(super) fn pattern_px(self) -> Option<(f64, f64)> {
        match self {
            Self::Solid => None,
            Self::Dashed => Some((12.0, 7.0)),
            Self::Dotted => Some((3.0, 5.0)),
        }
    }
}

/// A line's colour, width and dash.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stroke {
    /// Colour.
    pub ink: Ink,
    /// Width.
    pub width_px: f64,
    /// How it is broken.
    pub dash: Dash,
}

impl Stroke {
    /// An unbroken line.
    #[must_use]
    pub const fn solid(ink: Ink, width_px: f64) -> Self {
        Self { ink, width_px, dash: Dash::Solid }
    }

    /// The same line, broken.
    #[must_use]
    pub const fn with_dash(self, dash: Dash) -> Self {
        Self { dash, ..self }
    }
}

/// A text's size, weight and colour.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TextLook {
    /// Size of the type.
    pub size_px: f64,
    /// Weight.
    pub weight: Weight,
    /// Colour.
    pub ink: Ink,
}

impl TextLook {
    /// The figure's title.
    pub const TITLE: Self = Self::new(28.0, Weight::Bold, Ink::Text);
    /// The lesson below it.
    pub const CAPTION: Self = Self::new(19.0, Weight::Regular, Ink::Text);
    /// What an axis shows.
    pub const AXIS: Self = Self::new(17.0, Weight::Bold, Ink::Muted);
    /// Numbers on an axis.
    pub const TICK: Self = Self::new(17.0, Weight::Regular, Ink::Text);
    /// Where the numbers come from.
    pub const FOOTNOTE: Self = Self::new(16.0, Weight::Regular, Ink::Muted);

    /// A look from its parts.
    #[must_use]
    pub const fn new(size_px: f64, weight: Weight, ink: Ink) -> Self {
        Self { size_px, weight, ink }
    }
}

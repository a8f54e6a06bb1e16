use super::{Face, Ink, Marker, Rect};

/// One entry of the line that explains marks, where they cannot be labelled in place.
#[derive(Clone, Debug, PartialEq)]
pub struct KeyEntry {
    /// The sign; a shaded box when there is none.
    pub marker: Option<(Marker, Face)>,
    /// Colour of the sign.
    pub ink: Ink,
    /// What it stands for.
    pub text: String,
}

impl KeyEntry {
    /// The sample of a shaded box around the place of a sign.
    pub(super) fn swatch_px(x_px: f64, y_px: f64) -> Rect {
        Rect::new(x_px - 11.0, y_px - 8.0, x_px + 11.0, y_px + 8.0)
    }

    /// A full mark and what it stands for.
    pub(super) fn mark(marker: Marker, ink: Ink, text: impl Into<String>) -> Self {
        Self { marker: Some((marker, Face::Full)), ink, text: text.into() }
    }

    /// A shaded box and what it stands for.
    pub(super) fn shade(ink: Ink, text: impl Into<String>) -> Self {
        Self { marker: None, ink, text: text.into() }
    }
}

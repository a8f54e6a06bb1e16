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
}

/// A rectangle on the canvas, in pixels; y points down.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rect {
    /// Left edge.
    pub left_px: f64,
    /// Upper edge.
    pub top_px: f64,
    /// Right edge.
    pub right_px: f64,
    /// Lower edge.
    pub bottom_px: f64,
}

impl Rect {
    /// A rectangle from its edges.
    #[must_use]
    pub const fn new(left_px: f64, top_px: f64, right_px: f64, bottom_px: f64) -> Self {
        Self { left_px, top_px, right_px, bottom_px }
    }

    /// Width.
    #[must_use]
    pub fn width_px(&self) -> f64 {
        self.right_px - self.left_px
    }

    /// Height.
    #[must_use]
    pub fn height_px(&self) -> f64 {
        self.bottom_px - self.top_px
    }

    /// Whether the two share more than an edge.
    #[must_use]
    pub fn overlaps(&self, other: &Self) -> bool {
        self.left_px < other.right_px
            && other.left_px < self.right_px
            && self.top_px < other.bottom_px
            && other.top_px < self.bottom_px
    }

    /// Whether the other lies wholly inside.
    #[must_use]
    pub fn contains(&self, other: &Self) -> bool {
        self.left_px <= other.left_px
            && self.top_px <= other.top_px
            && self.right_px >= other.right_px
            && self.bottom_px >= other.bottom_px
    }

    /// The four corners, clockwise from the upper left.
    #[must_use]
    pub fn corners_px(&self) -> Vec<(f64, f64)> {
        vec![
            (self.left_px, self.top_px),
            (self.right_px, self.top_px),
            (self.right_px, self.bottom_px),
            (self.left_px, self.bottom_px),
        ]
    }
}

/// A rectangle on a sheet, in points; y runs down.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frame {
    /// Left edge.
    pub left_pt: f64,
    /// Upper edge.
    pub top_pt: f64,
    /// Right edge.
    pub right_pt: f64,
    /// Lower edge.
    pub bottom_pt: f64,
}

impl Frame {
    /// A rectangle from its edges.
    #[must_use]
    pub const fn new(left_pt: f64, top_pt: f64, right_pt: f64, bottom_pt: f64) -> Self {
        Self { left_pt, top_pt, right_pt, bottom_pt }
    }

    /// Whether the two share more than an edge.
    #[must_use]
    pub fn overlaps(&self, other: &Self) -> bool {
        self.left_pt < other.right_pt
            && other.left_pt < self.right_pt
            && self.top_pt < other.bottom_pt
            && other.top_pt < self.bottom_pt
    }

    /// Whether the other lies wholly inside.
    #[must_use]
    pub fn contains(&self, other: &Self) -> bool {
        self.left_pt <= other.left_pt
            && self.top_pt <= other.top_pt
            && self.right_pt >= other.right_pt
            && self.bottom_pt >= other.bottom_pt
    }
}

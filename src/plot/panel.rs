use super::{Axis, Item, Rect};

/// One pair of axes with what is drawn between them.
#[derive(Clone, Debug, PartialEq)]
pub struct Panel {
    /// Where on the canvas the axes span.
    pub area: Rect,
    /// The horizontal axis.
    pub x: Axis,
    /// The vertical axis; its title stands above it, to be read without turning the head.
    pub y: Axis,
    /// What is drawn, in this order.
    pub items: Vec<Item>,
}

impl Panel {
    /// The place of a point on the canvas; what lies outside the axes is held at their edge.
    #[must_use]
    pub fn place_px(&self, (x, y): (f64, f64)) -> (f64, f64) {
        (
            self.x.place(x).mul_add(self.area.width_px(), self.area.left_px),
            (-self.y.place(y)).mul_add(self.area.height_px(), self.area.bottom_px),
        )
    }
}

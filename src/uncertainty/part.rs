/// One contribution to a result, as far as the shape of the whole depends on it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Part {
    /// |c u|, in the unit of the result.
    pub size: f64,
    /// Whether its distribution is a rectangle.
    pub is_rectangular: bool,
}

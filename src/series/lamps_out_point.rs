use super::LampsOutShape;

/// A step at one share of lamps out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LampsOutPoint {
    /// Share of the fixtures that are open.
    pub open_ratio: f64,
    /// What the current looks like; `None` when the step cannot be held.
    pub shape: Option<LampsOutShape>,
}

use crate::regulator::ReachSide;

use super::FieldPoint;

/// Why a step cannot be held on a field, with the nearest current that can.
#[derive(Clone, Debug)]
pub struct FieldReach {
    /// What was asked.
    pub target_a: f64,
    /// The highest or lowest current of this field, as the control senses it: that at the end of the
    /// firing delay's range with the lamps at the resistance of the target, or the highest that could
    /// be held, to a thousandth of the target, where that end has no solution.
    pub limit_a: f64,
    /// Whether the target lies above the highest.
    pub side: ReachSide,
    /// The operating point at that limit.
    pub nearest: FieldPoint,
}

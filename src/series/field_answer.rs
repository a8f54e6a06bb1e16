use crate::regulator::ReachSide;

use super::FieldPoint;

/// The answer to "hold this step on this field".
#[derive(Clone, Debug)]
pub enum FieldAnswer {
    /// The step is held.
    Held(Box<FieldPoint>),
    /// No firing delay gives the current on this field.
    OutOfReach(Box<FieldReach>),
}

/// Why a step cannot be held on a field, with the nearest current that can.
#[derive(Clone, Debug)]
pub struct FieldReach {
    /// What was asked.
    pub target_a: f64,
    /// The highest or lowest current of this field, as the control senses it, with the lamps at the
    /// resistance they would have at the target.
    pub limit_a: f64,
    /// Whether the target lies above the highest.
    pub side: ReachSide,
    /// The operating point at that limit.
    pub nearest: FieldPoint,
}

impl FieldAnswer {
    /// The operating point, when the step is held.
    #[must_use]
    pub fn point(&self) -> Option<&FieldPoint> {
        match self {
            Self::Held(point) => Some(point),
            Self::OutOfReach(_) => None,
        }
    }

    /// The operating point, when the step is held.
    #[must_use]
    pub fn held(self) -> Option<FieldPoint> {
        match self {
            Self::Held(point) => Some(*point),
            Self::OutOfReach(_) => None,
        }
    }
}

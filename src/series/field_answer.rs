use super::{FieldPoint, FieldReach};

/// The answer to "hold this step on this field".
#[derive(Clone, Debug)]
pub enum FieldAnswer {
    /// The step is held.
    Held(Box<FieldPoint>),
    /// No firing delay gives the current on this field.
    OutOfReach(Box<FieldReach>),
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

use crate::error::Result;
use crate::regulator::Step;

use super::{FieldAnswer, FieldPoint};

/// One step on a field.
#[derive(Debug)]
pub struct FieldTableRow {
    /// The step.
    pub step: Step,
    /// The answer for it; a step that fails spoils no other.
    pub answer: Result<FieldAnswer>,
}

impl FieldTableRow {
    /// The operating point, when the step is held.
    #[must_use]
    pub fn point(&self) -> Option<&FieldPoint> {
        self.answer.as_ref().ok().and_then(FieldAnswer::point)
    }
}

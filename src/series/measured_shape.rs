use crate::error::{Bounds, Result};

use super::{LampsOutShape, ShapeQuantity};

/// A measured property of the output current that grows or falls with lamps out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MeasuredShape {
    /// What was measured.
    pub quantity: ShapeQuantity,
    /// The value.
    pub value: f64,
    /// Its standard uncertainty, the model's own included where it is known.
    pub standard_uncertainty: f64,
}

impl MeasuredShape {
    /// Either quantity: a square wave has a crest factor of 1, and nothing here comes near 10.
    pub const VALUE: Bounds = Bounds::new("measured shape of the current", "", 0.05, 10.0);
    /// Standard uncertainty.
    pub const STANDARD_UNCERTAINTY: Bounds =
        Bounds::new("standard uncertainty of the measured shape", "", 1e-6, 1.0);

    /// Checks both values.
    ///
    /// # Errors
    /// `OutOfRange` outside the bounds above.
    pub fn check(&self) -> Result<()> {
        Self::VALUE.check(self.value)?;
        Self::STANDARD_UNCERTAINTY.check(self.standard_uncertainty).map(drop)
    }

    /// What would be measured without error on a current of that shape.
    pub(super) fn on(&self, shape: &LampsOutShape) -> f64 {
        match self.quantity {
            ShapeQuantity::CrestFactor => shape.crest_factor,
            ShapeQuantity::AverageOverRms => 1.0 + shape.average_responding_error_ratio,
        }
    }
}

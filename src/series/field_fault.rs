use crate::error::{Bounds, Error, Result};

/// A short somewhere in the field.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum FieldFault {
    /// The output terminals are shorted, as for calibration: nothing of the field carries current.
    OutputShort,
    /// Two places of the loop touch, for instance through two faults to earth: what lies between
    /// them is bypassed.
    ///
    /// Places are shares of the way around the loop in the order of the groups, with every fixture
    /// taking an equal part of the way and the cable spread evenly along it.
    PartialShort {
        /// Where the bypassed part begins, as a share of the loop.
        from_ratio: f64,
        /// Where it ends.
        to_ratio: f64,
        /// Resistance between the two places.
        resistance_ohm: f64,
    },
}

impl FieldFault {
    /// A place of the loop.
    pub const PLACE_RATIO: Bounds = Bounds::new("place in the loop", "", 0.0, 1.0);
    /// Resistance between the two places.
    pub const RESISTANCE_OHM: Bounds =
        Bounds::new("resistance of the short in the field", "ohm", 1e-3, 1e6);
    /// Resistance of a shorting lead at the output terminals (ours, no source).
    pub const LEAD_OHM: f64 = 0.01;

    /// Checks every value.
    ///
    /// # Errors
    /// `OutOfRange` for a value out of bounds; `Inconsistent` when the part has no length.
    pub fn check(&self) -> Result<()> {
        let Self::PartialShort { from_ratio, to_ratio, resistance_ohm } = self else {
            return Ok(());
        };
        Self::PLACE_RATIO.check(*from_ratio)?;
        Self::PLACE_RATIO.check(*to_ratio)?;
        Self::RESISTANCE_OHM.check(*resistance_ohm)?;
        if to_ratio <= from_ratio {
            return Err(Error::inconsistent(format!(
                "the short goes from {from_ratio} to {to_ratio} of the loop: nothing is bypassed"
            )));
        }
        Ok(())
    }
}

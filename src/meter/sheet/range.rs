use crate::error::{Bounds, Error, Result};

/// One range of a meter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Range {
    /// Largest value it shows.
    pub full_scale_a: f64,
    /// Step of its last digit; on a scale with a pointer, what can be read between two marks.
    pub resolution_a: f64,
}

impl Range {
    /// Full scale of a range.
    pub const FULL_SCALE_A: Bounds = Bounds::new("full scale of a range", "A", 1e-3, 10_000.0);
    /// Resolution of a range.
    pub const RESOLUTION_A: Bounds = Bounds::new("resolution of a range", "A", 1e-12, 1000.0);

    /// # Errors
    /// `OutOfRange` for a value outside its bounds; `Inconsistent` when the resolution is coarser
    /// than a tenth of the full scale.
    pub(super) fn check(&self) -> Result<()> {
        Self::FULL_SCALE_A.check(self.full_scale_a)?;
        Self::RESOLUTION_A.check(self.resolution_a)?;
        if self.resolution_a > 0.1 * self.full_scale_a {
            return Err(Error::inconsistent(format!(
                "a range of {} A cannot have a resolution of {} A",
                self.full_scale_a, self.resolution_a
            ))
            .with_hint("the resolution is the step of the last digit"));
        }
        Ok(())
    }
}

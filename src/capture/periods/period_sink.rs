use crate::error::Result;

use super::{CycleWindow, HalfCycle, PeriodRow};

/// Takes the rows of a record as they come, in the order of time.
pub trait PeriodSink {
    /// One period.
    ///
    /// # Errors
    /// When it cannot be taken, such as a full disk.
    fn period(&mut self, row: &PeriodRow) -> Result<()> {
        let _ = row;
        Ok(())
    }

    /// One half cycle.
    ///
    /// # Errors
    /// As [`Self::period`].
    fn half_cycle(&mut self, half: &HalfCycle) -> Result<()> {
        let _ = half;
        Ok(())
    }

    /// One window of 10 or 12 cycles.
    ///
    /// # Errors
    /// As [`Self::period`].
    fn window(&mut self, window: &CycleWindow) -> Result<()> {
        let _ = window;
        Ok(())
    }
}

/// Takes nothing: for a summary alone.
impl PeriodSink for () {}

use crate::error::{Bounds, Error, Result};
use crate::waveform::TrueRms;

/// The RMS currents allowed at a step, both edges included.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Band {
    low_a: f64,
    high_a: f64,
}

/// Where a true RMS current lies against a band.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Placement {
    /// Below the lower edge.
    Low,
    /// Inside, edges included.
    Inside,
    /// Above the upper edge.
    High,
}

impl Band {
    /// Either edge.
    pub const EDGE_A: Bounds = Bounds::new("edge of a band", "A", 0.01, 1000.0);

    /// A band from its edges.
    ///
    /// # Errors
    /// `OutOfRange` for an edge out of bounds; `Inconsistent` when the lower is not below the upper.
    pub fn new(low_a: f64, high_a: f64) -> Result<Self> {
        Self::EDGE_A.check(low_a)?;
        Self::EDGE_A.check(high_a)?;
        if low_a >= high_a {
            return Err(Error::inconsistent(format!(
                "a band from {low_a} A to {high_a} A is empty"
            ))
            .with_hint("the lower edge comes first"));
        }
        Ok(Self { low_a, high_a })
    }

    /// A band known when the program was built.
    pub(super) const fn known(low_a: f64, high_a: f64) -> Self {
        Self { low_a, high_a }
    }

    /// Lower edge.
    #[must_use]
    pub fn low_a(&self) -> f64 {
        self.low_a
    }

    /// Upper edge.
    #[must_use]
    pub fn high_a(&self) -> f64 {
        self.high_a
    }

    /// Where a true RMS current lies.
    #[must_use]
    pub fn place(&self, current: TrueRms) -> Placement {
        if current.a() < self.low_a {
            Placement::Low
        } else if current.a() > self.high_a {
            Placement::High
        } else {
            Placement::Inside
        }
    }

    /// How much of the way from the nominal to the nearer edge in its direction a current has gone:
    /// 0 at the nominal, 1 at the edge, more outside. `None` when the nominal is not inside.
    #[must_use]
    pub fn share_used_ratio(&self, nominal_a: f64, current: TrueRms) -> Option<f64> {
        let offset_a = current.a() - nominal_a;
        let room_a = if offset_a < 0.0 { nominal_a - self.low_a } else { self.high_a - nominal_a };
        (room_a > 0.0).then(|| offset_a.abs() / room_a)
    }
}

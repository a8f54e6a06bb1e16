use crate::error::Bounds;

use super::BranchId;

/// When a thyristor or triac is fired: a delay after zero crossings of something.
///
/// The gate gives one short pulse per crossing: a device that is still conducting then, or a
/// thyristor that is reverse biased, is not fired by it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GateRule {
    /// Whose zero crossings are counted from.
    pub reference: GateReference,
    /// Which zero crossings.
    pub crossing: Crossing,
    /// Delay after the crossing, as an angle of the mains.
    pub delay_rad: f64,
}

/// What a firing circuit watches.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum GateReference {
    /// The voltage of a branch of the network.
    BranchVoltage(BranchId),
    /// The undisturbed mains: sin(ω t).
    Supply,
}

/// Direction of a zero crossing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Crossing {
    /// Both directions: twice a period.
    Either,
    /// From negative to positive.
    Rising,
    /// From positive to negative.
    Falling,
}

impl GateRule {
    /// Delay range: beyond half a period the next crossing has come already.
    pub const DELAY_RAD: Bounds = Bounds::new("firing delay", "rad", 0.0, std::f64::consts::PI);

    pub(super) fn wants(&self, rising: bool) -> bool {
        match self.crossing {
            Crossing::Either => true,
            Crossing::Rising => rising,
            Crossing::Falling => !rising,
        }
    }
}

use crate::circuit::SenseLaw;
use crate::error::{Bounds, Result};

use super::Load;

/// The regulator's control: it looks at the current over the last cycle and moves the delay each
/// half cycle.
///
/// # Formula
/// α ← α + k_i e + k_p (e − e₋₁), e = (target − sensed)/rated current
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ControlLoop {
    /// How the current is sensed.
    pub sense: SenseLaw,
    /// Proportional gain per unit of relative error.
    pub proportional_rad: f64,
    /// Integral gain per half cycle and unit of relative error.
    pub integral_rad: f64,
    /// Smallest delay the control gives.
    pub delay_min_rad: f64,
    /// Largest delay the control gives.
    pub delay_max_rad: f64,
}

impl ControlLoop {
    /// Gains beyond this swing from end to end.
    pub const GAIN_RAD: Bounds = Bounds::new("gain of the control", "rad", 0.0, 20.0);

    pub(super) fn check(&self) -> Result<()> {
        Self::GAIN_RAD.check(self.proportional_rad)?;
        Self::GAIN_RAD.check(self.integral_rad)?;
        super::ResonantRegulator::DELAY_RAD.check(self.delay_min_rad)?;
        super::ResonantRegulator::DELAY_RAD.check(self.delay_max_rad).map(drop)
    }
}

impl Default for ControlLoop {
    /// Gains of ours, no source: a step settles within half a second without overshoot.
    fn default() -> Self {
        Self {
            sense: SenseLaw::TrueRms,
            proportional_rad: 0.25,
            integral_rad: 0.12,
            delay_min_rad: super::ResonantRegulator::DELAY_RAD.min,
            delay_max_rad: super::ResonantRegulator::DELAY_RAD.max,
        }
    }
}

/// Something that happens during a run; it takes effect at the next half cycle.
#[derive(Debug)]
pub enum LoopEvent {
    /// Another brightness step is chosen.
    Target {
        /// The new target current.
        target_a: f64,
    },
    /// Another load: lamps fail, the field is shorted or opened (a resistance of thousands of
    /// ohms stands for an open loop).
    Load(Box<dyn Load>),
    /// The supply changes.
    SupplyVoltage {
        /// Voltage over rated voltage.
        voltage_ratio: f64,
    },
    /// The control fails: the delay is this one from here on, whatever the current.
    ControlStuck {
        /// Firing delay.
        delay_rad: f64,
    },
}

/// What a run begins with and what happens to it.
#[derive(Debug)]
pub struct LoopScenario {
    /// Load at the beginning.
    pub load: Box<dyn Load>,
    /// Target at the beginning.
    pub target_a: f64,
    /// Whether the run begins at the operating point; otherwise everything begins at rest.
    pub begin: LoopStart,
    /// How long to run.
    pub duration_s: f64,
    /// Events in rising order of time.
    pub events: Vec<(f64, LoopEvent)>,
    /// Samples of the current kept per half cycle.
    pub samples_per_half_cycle: usize,
}

/// The state a run begins in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LoopStart {
    /// Everything at rest, the control at this delay: switching on.
    AtRest {
        /// First firing delay.
        delay_rad: f64,
    },
    /// The operating point of load and target.
    AtOperatingPoint,
}

impl LoopScenario {
    /// Length of a run.
    pub const DURATION_S: Bounds = Bounds::new("length of the run", "s", 1e-3, 3600.0);
    /// Samples kept per half cycle.
    pub const SAMPLES: Bounds = Bounds::new("samples per half cycle", "", 8.0, 10_000.0);
}

/// What a run shows at the end of each half cycle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HalfCycle {
    /// The instant.
    pub time_s: f64,
    /// True RMS over this half cycle.
    pub half_cycle_rms_a: f64,
    /// Rectified mean over this half cycle.
    pub half_cycle_arv_a: f64,
    /// True RMS over the last full cycle; `None` in the first half cycle.
    pub cycle_rms_a: Option<f64>,
    /// What the control senses over the last cycle; `None` in the first half cycle.
    pub sensed_a: Option<f64>,
    /// Largest magnitude in this half cycle.
    pub peak_a: f64,
    /// Target in force.
    pub target_a: f64,
    /// Delay the control sets from here on.
    pub delay_rad: f64,
}

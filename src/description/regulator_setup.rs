use crate::circuit::SenseLaw;
use crate::error::{Bounds, Result};
use crate::regulator::{ResistiveLoad, ResonantRegulator, SolveOptions};

/// The regulator of a description with what is connected to it.
#[derive(Clone, Debug)]
pub struct RegulatorSetup {
    /// The regulator on its supply.
    pub regulator: ResonantRegulator,
    /// Load at which the steps are set, as a share of the rated load resistance.
    pub load_ratio: f64,
    /// Load at which every step is read again, when one is given.
    pub recheck_load_ratio: Option<f64>,
    /// What the control takes for the current.
    pub sense: SenseLaw,
}

impl RegulatorSetup {
    /// A load as a share of the rated load resistance; leads alone are about 1 to 2 %.
    pub const LOAD_RATIO: Bounds = Bounds::new("load", "of rated", 0.001, 2.0);

    /// A resistance that is the given share of the rated one.
    ///
    /// # Errors
    /// `OutOfRange` outside [`Self::LOAD_RATIO`].
    pub fn load(&self, ratio: f64) -> Result<ResistiveLoad> {
        Self::LOAD_RATIO.check(ratio)?;
        ResistiveLoad::new(ratio * self.regulator.values.rated_resistance_ohm())
    }

    /// How operating points are solved for, the control sensing as described.
    #[must_use]
    pub fn options(&self) -> SolveOptions {
        SolveOptions { sense: self.sense, ..SolveOptions::default() }
    }

    /// The regulator and a load in words.
    #[must_use]
    pub fn words(&self, load_ratio: f64) -> String {
        let values = &self.regulator.values;
        format!(
            "generic regulator {} kW, {} A, {} Hz, load {} % of rated",
            values.rated_power_w / 1e3,
            values.rated_current_rms_a,
            values.rated_frequency_hz,
            (1e4 * load_ratio).round() / 1e2
        )
    }
}

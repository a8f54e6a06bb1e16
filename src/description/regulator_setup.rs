use crate::circuit::SenseLaw;
use crate::error::{Bounds, Error, Result};
use crate::regulator::protection::{Protection, TrialBench};
use crate::regulator::{
    ControlLoop, LoopRun, LoopScenario, OperatingPoint, PhaseCutSource, Regulated, ResistiveLoad,
    ResonantRegulator, SineSource, SolveOptions, run_closed_loop,
};

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
    /// Gains and range of the control; its own sensing is not used, `sense` is.
    pub control: ControlLoop,
    /// Protection of its output.
    pub protection: Protection,
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

    /// Runs the regulator in time, the control sensing as described.
    ///
    /// # Errors
    /// As [`run_closed_loop`].
    pub fn run(&self, scenario: LoopScenario) -> Result<LoopRun> {
        let control = ControlLoop { sense: self.sense, ..self.control };
        run_closed_loop(&self.regulator, &control, scenario)
    }

    /// The regulator with control and protection on a load, holding a current, ready for trials.
    ///
    /// # Errors
    /// `OutOfRange` for a load outside [`Self::LOAD_RATIO`].
    pub fn bench(&self, load_ratio: f64, target_a: f64) -> Result<TrialBench<'_>> {
        Ok(TrialBench {
            regulator: &self.regulator,
            control: ControlLoop { sense: self.sense, ..self.control },
            protection: &self.protection,
            target_a,
            load_ratio: Self::LOAD_RATIO.check(load_ratio)?,
        })
    }

    /// The same true RMS current on the setup's load from this regulator, from a phase-cut source of
    /// the same rating and from an ideal sine source, each with its key.
    ///
    /// # Errors
    /// `Inconsistent` when one of them cannot give the current; otherwise as their `hold` and
    /// `drive`.
    pub fn contrast(&self, target_a: f64) -> Result<Vec<(&'static str, OperatingPoint)>> {
        let load = self.load(self.load_ratio)?;
        let options = SolveOptions::default();
        let values = &self.regulator.values;
        let phase_cut = PhaseCutSource {
            rated_power_w: values.rated_power_w,
            rated_current_rms_a: values.rated_current_rms_a,
            rated_frequency_hz: values.rated_frequency_hz,
            supply: self.regulator.supply.clone(),
        };
        let frequency_hz = values.rated_frequency_hz * self.regulator.supply.frequency_ratio;
        let sine = SineSource { frequency_hz }.drive(&load, target_a, &options)?;
        let resonant = self.regulator.hold(&load, target_a, None, &options)?;
        let cut = phase_cut.hold(&load, target_a, &options)?;
        Ok(vec![
            ("resonant", held("the resonant source", resonant)?),
            ("phase-cut", held("the phase-cut source", cut)?),
            ("sine", sine),
        ])
    }

    /// The regulator and a load in words.
    #[must_use]
    pub fn words(&self, load_ratio: f64) -> String {
        format!("{}, load {} % of rated", self.rating_words(), (1e4 * load_ratio).round() / 1e2)
    }

    /// The regulator in words.
    #[must_use]
    pub fn rating_words(&self) -> String {
        let values = &self.regulator.values;
        format!(
            "{} regulator {} kW, {} A, {} Hz",
            values.origin.word(),
            values.rated_power_w / 1e3,
            values.rated_current_rms_a,
            values.rated_frequency_hz
        )
    }
}

fn held(name: &str, answer: Regulated) -> Result<OperatingPoint> {
    match answer {
        Regulated::Held(point) => Ok(*point),
        Regulated::OutOfReach(reach) => Err(Error::inconsistent(format!(
            "{name} cannot give {} A on this load; its limit is {:.3} A",
            reach.target_a, reach.limit_a
        ))
        .with_hint("choose a lower step or a smaller load")),
    }
}

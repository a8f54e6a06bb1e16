use rayon::prelude::*;

use crate::circuit::Stability;
use crate::error::{Error, ErrorKind, Result};
use crate::numeric::root_between;

use super::super::closed_loop::run_closed_loop_until;
use super::super::{
    ControlLoop, LoopEvent, LoopScenario, LoopStart, ReachSide, Regulated, ResistiveLoad,
    ResonantRegulator, SolveOptions,
};
use super::trial_run::TrialCourse;
use super::{Protection, ProtectionWatch, Trial, TrialRun};

/// A regulator with its control and its protection on a load, ready for trials in time.
#[derive(Clone, Debug)]
pub struct TrialBench<'a> {
    /// The regulator.
    pub regulator: &'a ResonantRegulator,
    /// Its control.
    pub control: ControlLoop,
    /// Its protection.
    pub protection: &'a Protection,
    /// The current held before anything happens.
    pub target_a: f64,
    /// The load, as a share of the rated resistance.
    pub load_ratio: f64,
}

/// What makes the current come to a multiple when the control has failed.
#[derive(Clone, Copy, Debug)]
struct Drive {
    delay_rad: f64,
    /// Supply voltage over what it was.
    supply_ratio: f64,
}

impl TrialBench<'_> {
    /// Samples of each half cycle: the rectified mean of a sine is then off by 5e-5 at most.
    const SAMPLES: usize = 128;
    /// Half cycles beyond the window that run before anything happens.
    const BEFORE: usize = 4;
    /// How close, over the one before, the supply for a multiple is looked for.
    const SUPPLY_TOLERANCE: f64 = 1e-5;
    /// Steps of the supply before it is given up.
    const SUPPLY_STEPS: usize = 12;

    /// Runs a trial until the protection acts, or until [`Protection::watch_s`] is over; `None` for a
    /// fault that does not drive this regulator to the multiple asked for on this load.
    ///
    /// # Validity
    /// What happens, happens at the beginning of a half cycle of the supply. The load is a resistance;
    /// with the loop open it is [`Trial::OPEN_RATIO`] times the rated one. The run ends where the
    /// protection acts: the contactor's own time is not modelled.
    ///
    /// # Errors
    /// As [`Protection::check`] and [`super::super::run_closed_loop`], with the trial named.
    pub fn run(&self, trial: Trial) -> Result<Option<TrialRun>> {
        self.protection.check()?;
        let drive = match trial {
            Trial::ControlFault { to_ratio } => {
                let wanted_a = to_ratio * self.regulator.values.rated_current_rms_a;
                match self.drive(wanted_a).map_err(|error| error.with_context(trial.words()))? {
                    Some(drive) => Some(drive),
                    None => return Ok(None),
                }
            }
            _ => None,
        };
        // The supply of a fault stands too high from the beginning: the control makes up for it until
        // it fails.
        let supply_ratio = drive.map_or(1.0, |drive| drive.supply_ratio);
        let before = self.regulator.supply.voltage_ratio;
        let supply = self.regulator.supply.clone().with_voltage_ratio(before * supply_ratio)?;
        let regulator = &self.regulator.clone().with_supply(supply);
        let frequency_hz = regulator.values.rated_frequency_hz * regulator.supply.frequency_ratio;
        let half_s = 0.5 / frequency_hz;
        let event_s = (self.protection.window_half_cycles + Self::BEFORE) as f64 * half_s;
        let named = |error: Error| error.with_context(trial.words());
        let load = self.load(self.load_ratio)?;
        let drift = match drive.filter(|drive| drive.supply_ratio > 1.0) {
            Some(drive) => {
                let options = SolveOptions::default();
                match regulator.hold(&load, self.target_a, None, &options).map_err(named)? {
                    Regulated::Held(point) => Some((point.delay_rad(), drive.delay_rad)),
                    Regulated::OutOfReach(_) => return Ok(None),
                }
            }
            None => None,
        };
        let events = match drift {
            Some((from_rad, to_rad)) => Self::drift(from_rad, to_rad)
                .map(|(late, event)| (event_s + late as f64 * half_s, event))
                .collect(),
            None => {
                let events = self.events(trial, drive).map_err(named)?;
                events.into_iter().map(|event| (event_s, event)).collect()
            }
        };
        let scenario = LoopScenario {
            load: Box::new(load),
            target_a: self.target_a,
            begin: LoopStart::AtOperatingPoint,
            duration_s: event_s + self.protection.watch_s(),
            events,
            samples_per_half_cycle: Self::SAMPLES,
        };
        let rated_a = regulator.values.rated_current_rms_a;
        let mut watch = ProtectionWatch::new(self.protection, rated_a);
        let mut trip = None;
        let run = run_closed_loop_until(regulator, &self.control, scenario, |half| {
            trip = watch.take(half);
            trip.is_some()
        })
        .map_err(named)?;
        let output_ohm = match trial {
            Trial::CircuitOpened => Some(self.load(Trial::OPEN_RATIO)?),
            _ => None,
        };
        let course = TrialCourse { event_s, is_drift: drift.is_some(), trip, opened: output_ohm };
        Ok(Some(TrialRun::new(self, trial, course, run.half_cycles)))
    }

    /// Several trials on all processors, in the order given.
    ///
    /// # Errors
    /// As [`Self::run`]; of several, the first in order.
    pub fn run_all(&self, trials: &[Trial]) -> Result<Vec<Option<TrialRun>>> {
        let runs: Vec<Result<Option<TrialRun>>> =
            trials.par_iter().map(|trial| self.run(*trial)).collect();
        runs.into_iter().collect()
    }

    /// The trials worth making on this load: a control fault to every current at which a stage is
    /// tried, the target raised to it where the regulator comes to it, and a supply jump.
    ///
    /// # Errors
    /// As [`ResonantRegulator::hold`].
    pub fn overcurrent_trials(&self) -> Result<Vec<Trial>> {
        let rated_a = self.regulator.values.rated_current_rms_a;
        let load = self.load(self.load_ratio)?;
        let mut trials = Vec::new();
        for stage in &self.protection.stages {
            let Some(to_ratio) = stage.tried.as_ref().map(|(ratio, _)| *ratio) else { continue };
            trials.push(Trial::ControlFault { to_ratio });
            let options = SolveOptions::default();
            let answer = self.regulator.hold(&load, to_ratio * rated_a, None, &options)?;
            if matches!(answer, Regulated::Held(_)) {
                trials.push(Trial::TargetRaised { to_ratio });
            }
        }
        trials.push(Trial::SupplyJump { voltage_ratio: Trial::JUMP_RATIO });
        Ok(trials)
    }

    /// A delay that drifts from one value to another, with the half cycles after which it moves.
    fn drift(from_rad: f64, to_rad: f64) -> impl Iterator<Item = (usize, LoopEvent)> {
        (1..=Trial::DRIFT_HALF_CYCLES).map(move |k| {
            let part = k as f64 / Trial::DRIFT_HALF_CYCLES as f64;
            let delay_rad = part.mul_add(to_rad - from_rad, from_rad);
            (k - 1, LoopEvent::ControlStuck { delay_rad })
        })
    }

    /// The resistance that is a share of the rated one.
    pub(super) fn load(&self, ratio: f64) -> Result<ResistiveLoad> {
        ResistiveLoad::new(ratio * self.regulator.values.rated_resistance_ohm())
    }

    fn events(&self, trial: Trial, drive: Option<Drive>) -> Result<Vec<LoopEvent>> {
        let rated_a = self.regulator.values.rated_current_rms_a;
        let before = self.regulator.supply.voltage_ratio;
        let event = match trial {
            Trial::ControlFault { .. } => {
                let stuck =
                    drive.map(|drive| LoopEvent::ControlStuck { delay_rad: drive.delay_rad });
                return Ok(stuck.into_iter().collect());
            }
            Trial::TargetRaised { to_ratio } => LoopEvent::Target { target_a: to_ratio * rated_a },
            Trial::SupplyJump { voltage_ratio } => {
                LoopEvent::SupplyVoltage { voltage_ratio: before * voltage_ratio }
            }
            Trial::LoadThrownOff { left_ratio } => {
                LoopEvent::Load(Box::new(self.load(left_ratio * self.load_ratio)?))
            }
            Trial::CircuitOpened => LoopEvent::Load(Box::new(self.load(Trial::OPEN_RATIO)?)),
        };
        Ok(vec![event])
    }

    /// The delay that belongs to a current, or the last delay and the supply that belongs to it;
    /// `None` when no supply of the model drives it there, or to no stable state.
    fn drive(&self, wanted_a: f64) -> Result<Option<Drive>> {
        let load = self.load(self.load_ratio)?;
        let options = SolveOptions::default();
        let reach = match self.regulator.hold(&load, wanted_a, None, &options)? {
            Regulated::Held(point) => {
                return Ok(Some(Drive { delay_rad: point.delay_rad(), supply_ratio: 1.0 }));
            }
            Regulated::OutOfReach(reach) if reach.side == ReachSide::BelowLowest => {
                return Ok(None);
            }
            Regulated::OutOfReach(reach) => reach,
        };
        let delay_rad = reach.nearest.delay_rad();
        let before = self.regulator.supply.voltage_ratio;
        let at = |supply_ratio: f64| {
            let supply = self.regulator.supply.clone().with_voltage_ratio(before * supply_ratio)?;
            let regulator = self.regulator.clone().with_supply(supply);
            regulator.at_delay(&load, delay_rad, &options)
        };
        let over_a = |supply_ratio: f64| Ok(at(supply_ratio)?.output_rms_a() - wanted_a);
        // The iron takes some of every volt more, so the supply has to rise by more than the current;
        // in small steps, since far into saturation there is no solution near the usual one.
        let step = 1.1 * (wanted_a / reach.limit_a - 1.0) + 0.005;
        let (mut low, mut high) = (1.0, 1.0 + step);
        for _ in 0..Self::SUPPLY_STEPS {
            match over_a(high) {
                Ok(over) if over >= 0.0 => {
                    let supply_ratio = root_between(over_a, low, high, Self::SUPPLY_TOLERANCE)?;
                    let is_stable = at(supply_ratio)?.solution.stability() == Stability::Stable;
                    return Ok(is_stable.then_some(Drive { delay_rad, supply_ratio }));
                }
                Ok(_) => (low, high) = (high, high + 0.5 * step),
                Err(error) => match error.kind() {
                    ErrorKind::NotConverged { .. } | ErrorKind::OutOfRange { .. } => break,
                    _ => return Err(error),
                },
            }
        }
        Ok(None)
    }
}

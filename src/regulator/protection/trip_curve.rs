use crate::error::{Bounds, Result};

use super::super::{Regulated, SolveOptions};
use super::{ProtectionLaw, SteadyRise, Trial, TrialBench, TrialRun, TripCause};

/// Time to trip against the multiple of rated current on one load: in closed form, and simulated.
#[derive(Clone, Debug, PartialEq)]
pub struct TripCurve {
    /// The load, as a share of the rated resistance.
    pub load_ratio: f64,
    /// Points in the order given.
    pub points: Vec<TripPoint>,
}

/// One multiple of rated current.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TripPoint {
    /// The multiple the fault drives to.
    pub ratio: f64,
    /// What the detector shows over the true RMS of the current there.
    pub gain: f64,
    /// A current that jumps there at once; `None` when no stage acts.
    pub steady: Option<(TripCause, f64)>,
    /// The same from the simulated control fault; `None` when no stage acted, or when the fault does
    /// not drive the model there.
    pub simulated: Option<(TripCause, f64)>,
    /// The multiple the simulated current had come to at the end; `None` when the fault does not drive
    /// the model there.
    pub reached_ratio: Option<f64>,
}

impl TripPoint {
    /// Whether the simulated current had come to the multiple.
    #[must_use]
    pub fn is_there(&self) -> bool {
        let near = |reached: f64| (reached / self.ratio - 1.0).abs() <= TrialRun::NEAR_RATIO;
        self.reached_ratio.is_some_and(near)
    }
}

impl TripCurve {
    /// Multiples of rated current.
    pub const RATIO: Bounds = Bounds::new("multiple of rated current", "", 0.5, 3.0);

    /// Runs a control fault to every multiple, on all processors.
    ///
    /// # Errors
    /// `OutOfRange` for a multiple out of bounds; otherwise as [`TrialBench::run`].
    pub fn of(bench: &TrialBench<'_>, ratios: &[f64]) -> Result<Self> {
        for ratio in ratios {
            Self::RATIO.check(*ratio)?;
        }
        let trials: Vec<Trial> =
            ratios.iter().map(|to_ratio| Trial::ControlFault { to_ratio: *to_ratio }).collect();
        let runs = bench.run_all(&trials)?;
        let values = &bench.regulator.values;
        let frequency_hz = values.rated_frequency_hz * bench.regulator.supply.frequency_ratio;
        let law = bench.protection.law;
        let mut points = Vec::with_capacity(runs.len());
        for (ratio, run) in ratios.iter().zip(runs) {
            let gain = bench.gain(law, *ratio)?;
            let before_ratio = bench.target_a / values.rated_current_rms_a;
            let rise = SteadyRise { before_ratio, after_ratio: *ratio, gain };
            points.push(TripPoint {
                ratio: *ratio,
                gain,
                steady: bench.protection.time_to_trip_s(&rise, frequency_hz),
                simulated: run
                    .as_ref()
                    .and_then(|run| Some((run.trip?.cause, run.time_to_trip_s()?))),
                reached_ratio: run.map(|run| run.reached_ratio),
            });
        }
        Ok(Self { load_ratio: bench.load_ratio, points })
    }
}

impl TrialBench<'_> {
    /// What a detector shows over the true RMS at a multiple of rated current; beyond the regulator's
    /// reach, that of its highest current.
    ///
    /// # Errors
    /// As [`super::super::ResonantRegulator::hold`].
    pub fn gain(&self, law: ProtectionLaw, ratio: f64) -> Result<f64> {
        if law == ProtectionLaw::TrueRms {
            return Ok(1.0);
        }
        let target_a = ratio * self.regulator.values.rated_current_rms_a;
        let load = self.load(self.load_ratio)?;
        let answer = self.regulator.hold(&load, target_a, None, &SolveOptions::default())?;
        let output = match &answer {
            Regulated::Held(point) => &point.output,
            Regulated::OutOfReach(reach) => &reach.nearest.output,
        };
        Ok(law.gain(output).unwrap_or(1.0))
    }
}

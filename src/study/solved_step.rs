//! One step of one circuit solved, on a share of the rated resistance or on a field.

use crate::description::Description;
use crate::error::{Error, Result};
use crate::regulator::{
    OperatingPoint, ReachSide, Regulated, ResistiveLoad, ResonantRegulator, SolveOptions, Step,
};
use crate::spectrum::Spectrum;

use super::{StepOutcome, StepState};

/// What is connected to the output.
pub(super) enum CircuitLoad {
    Share(ResistiveLoad),
}

/// An operating point on it.
#[derive(Clone, Debug)]
pub(super) enum SolvedStep {
    Share(Box<OperatingPoint>),
}

/// The answer to "hold this step".
pub(super) enum StepAnswer {
    Held(SolvedStep),
    OutOfReach(ReachSide, f64),
}

impl CircuitLoad {
    pub(super) fn of(description: &Description) -> Result<Self> {
        let setup = description.regulator.as_ref().ok_or_else(no_regulator)?;
        Ok(Self::Share(setup.load(setup.load_ratio)?))
    }

    /// Holds a step, starting from the first of these points whose network is this one's.
    pub(super) fn hold(
        &self,
        regulator: &ResonantRegulator,
        step: &Step,
        starts: &[Option<&SolvedStep>],
        options: &SolveOptions,
    ) -> Result<StepAnswer> {
        let target_a = step.nominal.a();
        match self {
            Self::Share(load) => {
                let built = regulator.network(load, 0.0)?.network;
                let names = branch_names(built.branches());
                let start = starts.iter().flatten().find(|point| point.branch_names() == names);
                let start = start.map(|SolvedStep::Share(point)| point.as_ref());
                Ok(match regulator.hold(load, target_a, start, options)? {
                    Regulated::Held(point) => StepAnswer::Held(SolvedStep::Share(point)),
                    Regulated::OutOfReach(reach) => {
                        StepAnswer::OutOfReach(reach.side, reach.limit_a)
                    }
                })
            }
        }
    }
}

fn branch_names(branches: &[crate::circuit::Branch]) -> Vec<&str> {
    branches.iter().map(|branch| branch.name.as_str()).collect()
}

pub(super) fn no_regulator() -> Error {
    Error::inconsistent("the description has no regulator to vary")
        .with_hint("`loopcrest starter` shows how one is described")
}

impl SolvedStep {
    fn operating(&self) -> &OperatingPoint {
        match self {
            Self::Share(point) => point,
        }
    }

    fn branch_names(&self) -> Vec<&str> {
        branch_names(self.operating().circuit.network().branches())
    }

    /// True RMS and peak of the output voltage.
    fn output_v(&self) -> Result<(f64, f64)> {
        match self {
            Self::Share(point) => {
                let voltage_v = point.output_voltage_v(StepOutcome::VOLTAGE_SAMPLES)?;
                let squares: f64 = voltage_v.iter().map(|v| v * v).sum();
                let peak_v = voltage_v.iter().fold(0.0_f64, |peak, v| peak.max(v.abs()));
                Ok(((squares / voltage_v.len() as f64).sqrt(), peak_v))
            }
        }
    }

    fn outcome(&self, step: &Step) -> Result<StepOutcome> {
        let point = self.operating();
        let measures = point.output.measures();
        let (rms_v, peak_v) = self.output_v()?;
        Ok(StepOutcome {
            state: StepState::Held,
            delay_rad: Some(point.delay_rad()),
            crest_factor: measures.dc.crest_factor(),
            form_factor: measures.dc.form_factor(),
            thd_ratio: Spectrum::of(&point.output).thd_ratio(StepOutcome::THD_ORDER),
            average_error_ratio: Some(point.average_responding_error_ratio()),
            output_rms_v: Some(rms_v),
            output_peak_v: Some(peak_v),
            ..StepOutcome::unsolved(step)
        })
    }
}

/// What an answer says of a step.
pub(super) fn outcome(step: &Step, answer: &Result<StepAnswer>) -> StepOutcome {
    let unsolved = StepOutcome::unsolved(step);
    match answer {
        Ok(StepAnswer::Held(point)) => point.outcome(step).unwrap_or(unsolved),
        Ok(StepAnswer::OutOfReach(side, limit_a)) => StepOutcome {
            state: match side {
                ReachSide::AboveHighest => StepState::AboveHighest,
                ReachSide::BelowLowest => StepState::BelowLowest,
            },
            limit_a: Some(*limit_a),
            ..unsolved
        },
        Err(_) => unsolved,
    }
}

//! One step of one circuit solved, on a share of the rated resistance or on a field.

use std::f64::consts::FRAC_PI_2;

use crate::description::Description;
use crate::error::{Error, Note, Result};
use crate::regulator::{
    Load, OperatingPoint, ReachSide, Regulated, ResistiveLoad, ResonantRegulator, SolveOptions,
    Step,
};
use crate::series::{FieldAnswer, FieldLoad, FieldPoint};
use crate::spectrum::Spectrum;

use super::{StepOutcome, StepState};

/// What is connected to the output.
pub(super) enum CircuitLoad {
    Share(ResistiveLoad),
    Field(Box<FieldLoad>),
}

/// An operating point on it.
#[derive(Clone, Debug)]
pub(super) enum SolvedStep {
    Share(Box<OperatingPoint>),
    Field(Box<FieldPoint>),
}

/// The answer to "hold this step".
pub(super) enum StepAnswer {
    Held(SolvedStep),
    OutOfReach(ReachSide, f64),
}

impl CircuitLoad {
    pub(super) fn of(description: &Description) -> Result<Self> {
        let setup = description.regulator.as_ref().ok_or_else(no_regulator)?;
        let Some(field) = &description.field else {
            return Ok(Self::Share(setup.load(setup.load_ratio)?));
        };
        let (field, regulator) = (&field.field, &setup.regulator);
        let open_ratios = description.open_ratios.of_groups(field);
        let load = FieldLoad::with_open_ratios(field, regulator, &open_ratios)?;
        Ok(Self::Field(Box::new(load)))
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
                let start = matching(load, regulator, starts)?;
                let start = start.and_then(|point| match point {
                    SolvedStep::Share(point) => Some(point.as_ref()),
                    SolvedStep::Field(_) => None,
                });
                Ok(match regulator.hold(load, target_a, start, options)? {
                    Regulated::Held(point) => StepAnswer::Held(SolvedStep::Share(point)),
                    Regulated::OutOfReach(reach) => {
                        StepAnswer::OutOfReach(reach.side, reach.limit_a)
                    }
                })
            }
            Self::Field(load) => {
                let start = matching(load.as_ref(), regulator, starts)?;
                let start = start.and_then(|point| match point {
                    SolvedStep::Field(point) => Some(point.as_ref()),
                    SolvedStep::Share(_) => None,
                });
                Ok(match load.hold(regulator, target_a, start, options)? {
                    FieldAnswer::Held(point) => StepAnswer::Held(SolvedStep::Field(point)),
                    FieldAnswer::OutOfReach(reach) => {
                        StepAnswer::OutOfReach(reach.side, reach.limit_a)
                    }
                })
            }
        }
    }
}

/// The first point whose network has the branches this load makes.
fn matching<'p>(
    load: &dyn Load,
    regulator: &ResonantRegulator,
    starts: &[Option<&'p SolvedStep>],
) -> Result<Option<&'p SolvedStep>> {
    let built = regulator.network(load, FRAC_PI_2)?.network;
    let names = branch_names(built.branches());
    Ok(starts.iter().flatten().find(|point| point.branch_names() == names).copied())
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
            Self::Field(point) => &point.operating,
        }
    }

    fn branch_names(&self) -> Vec<&str> {
        branch_names(self.operating().circuit.network().branches())
    }

    /// What has to be said beside it.
    pub(super) fn notes(&self) -> Vec<Note> {
        match self {
            Self::Share(point) => point.notes(),
            Self::Field(point) => point.notes(),
        }
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
            Self::Field(point) => Ok((point.power.voltage_rms_v, point.power.voltage_peak_v)),
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

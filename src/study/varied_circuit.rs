use crate::description::{Description, Parameter};
use crate::error::{Error, Result};
use crate::regulator::{Load, OperatingPoint, Regulated, SolveOptions, Step};

use super::{StepOutcome, StepState};

/// A description solved once at every step, from which circuits with other numbers are solved.
///
/// Each of them starts at the solution of the description at the same step, or, where that has
/// another network, at the step before: never at what another circuit left behind, so that circuits
/// can be solved in any order.
#[derive(Clone, Debug)]
pub struct VariedCircuit {
    description: Description,
    steps: Vec<Step>,
    starts: Vec<Option<OperatingPoint>>,
    nominal: Vec<StepOutcome>,
    options: SolveOptions,
}

impl VariedCircuit {
    /// Samples of the output current in a period.
    const SAMPLES: usize = 3600;

    /// Solves a description at the steps with these numbers, at all of them when none is named.
    ///
    /// # Errors
    /// `Inconsistent` when the description has no regulator; `Malformed` for an unknown step.
    pub fn new(description: &Description, numbers: &[u32]) -> Result<Self> {
        if description.regulator.is_none() {
            return Err(Error::inconsistent("the description has no regulator to vary"));
        }
        let known = description.steps.steps();
        if let Some(unknown) = numbers.iter().find(|n| description.steps.step(**n).is_none()) {
            let known: Vec<_> = known.iter().map(|step| step.number.to_string()).collect();
            let expected = format!("a step of the description: {}", known.join(", "));
            return Err(Error::malformed(expected, unknown.to_string()));
        }
        let wanted = |step: &&Step| numbers.is_empty() || numbers.contains(&step.number);
        let steps: Vec<Step> = known.iter().filter(wanted).cloned().collect();
        let mut description = description.clone();
        // Not needed for solving, and copied for every circuit.
        description.runnable_text.clear();
        description.meters.clear();
        description.currents.clear();
        // Nominals are true RMS, whatever the control senses.
        let options = SolveOptions { samples_per_period: Self::SAMPLES, ..SolveOptions::default() };
        let starts = vec![None; steps.len()];
        let nominal = Vec::new();
        let mut circuit = Self { description, steps, starts, nominal, options };
        let answers = circuit.answers(&circuit.description)?;
        circuit.nominal = circuit.outcomes(&answers);
        circuit.starts = answers.into_iter().map(|answer| answer.ok()?.held()).collect();
        Ok(circuit)
    }

    /// The description as it is, the brightest step first.
    #[must_use]
    pub fn nominal(&self) -> &[StepOutcome] {
        &self.nominal
    }

    /// The steps, the brightest first.
    #[must_use]
    pub fn steps(&self) -> &[Step] {
        &self.steps
    }

    /// The circuit with these numbers changed, the brightest step first.
    ///
    /// # Errors
    /// As [`Parameter::set`] for a number that cannot be; a step that cannot be held or solved is
    /// no error.
    pub fn solve(&self, changes: &[(&Parameter, f64)]) -> Result<Vec<StepOutcome>> {
        let mut description = self.description.clone();
        for (parameter, value) in changes {
            parameter.set(&mut description, *value)?;
        }
        Ok(self.outcomes(&self.answers(&description)?))
    }

    fn outcomes(&self, answers: &[Result<Regulated>]) -> Vec<StepOutcome> {
        self.steps.iter().zip(answers).map(|(step, answer)| StepOutcome::of(step, answer)).collect()
    }

    fn answers(&self, description: &Description) -> Result<Vec<Result<Regulated>>> {
        let setup = description
            .regulator
            .as_ref()
            .ok_or_else(|| Error::inconsistent("the description has no regulator to vary"))?;
        let load = setup.load(setup.load_ratio)?;
        let states = setup.regulator.network(&load, 0.0)?.network.state_count();
        let mut answers: Vec<Result<Regulated>> = Vec::with_capacity(self.steps.len());
        for (step, own) in self.steps.iter().zip(&self.starts) {
            let before = answers.iter().rev().find_map(|answer| match answer {
                Ok(Regulated::Held(point)) => Some(point.as_ref()),
                _ => None,
            });
            let start = own.as_ref().filter(|point| point.circuit.state_count() == states);
            let start = start.or(before);
            answers.push(setup.regulator.hold(
                &load as &dyn Load,
                step.nominal.a(),
                start,
                &self.options,
            ));
        }
        Ok(answers)
    }
}

impl StepOutcome {
    /// Whether the step is held.
    #[must_use]
    pub fn is_held(&self) -> bool {
        self.state == StepState::Held
    }
}

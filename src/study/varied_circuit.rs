use rayon::prelude::*;

use crate::description::{Description, Parameter};
use crate::error::{Error, Note, Result};
use crate::regulator::{SolveOptions, Step, ValuesOrigin};

use super::StepOutcome;
use super::solved_step::{CircuitLoad, SolvedStep, StepAnswer, no_regulator, outcome};

/// A description solved once at every step, from which circuits with other numbers are solved.
///
/// Each of them starts at the solution of the description at the same step, or, where that has
/// another network, at the step before: never at what another circuit left behind, so that circuits
/// can be solved in any order.
#[derive(Clone, Debug)]
pub struct VariedCircuit {
    description: Description,
    steps: Vec<Step>,
    /// Solutions to start from, with the share of lamps out they belong to: one set of steps each.
    starts: Vec<(f64, Vec<Option<SolvedStep>>)>,
    nominal: Vec<StepOutcome>,
    options: SolveOptions,
}

impl VariedCircuit {
    /// Samples of the output current in a period.
    const SAMPLES: usize = 3600;
    /// Shares of lamps out that are solved beforehand.
    const OPEN_RATIOS: [f64; 6] = [0.01, 0.03, 0.06, 0.12, 0.2, 0.3];

    /// Solves a description at the steps with these numbers, at all of them when none is named.
    ///
    /// # Errors
    /// `Inconsistent` when the description has no regulator; `Malformed` for an unknown step.
    pub fn new(description: &Description, numbers: &[u32]) -> Result<Self> {
        if description.regulator.is_none() {
            return Err(no_regulator());
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
        let mut circuit =
            Self { description, steps, starts: Vec::new(), nominal: Vec::new(), options };
        let answers = circuit.answers(&circuit.description)?;
        circuit.nominal = circuit.outcomes(&answers);
        let mut starts = vec![(Self::open_ratio(&circuit.description), points(answers))];
        // A field with lamps out is another network: solutions of a few shares to start from.
        if circuit.description.field.is_some() {
            let solved: Vec<Result<_>> = Self::OPEN_RATIOS
                .into_par_iter()
                .with_max_len(1)
                .map(|open_ratio| {
                    let mut description = circuit.description.clone();
                    description.open_ratios.every = Some(open_ratio);
                    Ok((open_ratio, points(circuit.answers(&description)?)))
                })
                .collect();
            for start in solved {
                starts.push(start?);
            }
        }
        circuit.starts = starts;
        Ok(circuit)
    }

    fn open_ratio(description: &Description) -> f64 {
        let field = description.field.as_ref();
        field.map_or(0.0, |setup| description.open_ratios.of_all(&setup.field))
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

    /// What is connected to the output, in words.
    #[must_use]
    pub fn load_words(&self) -> String {
        match (&self.description.field, &self.description.regulator) {
            (Some(field), _) => {
                let field = &field.field;
                let (fixtures, length_m) = (field.fixtures(), field.cable_m());
                format!("field of {fixtures} fixtures on {length_m} m of cable")
            }
            (None, Some(setup)) => {
                format!("load {} % of rated", (1e6 * setup.load_ratio).round() / 1e4)
            }
            (None, None) => String::new(),
        }
    }

    /// Where the regulator's values come from.
    #[must_use]
    pub fn values_origin(&self) -> ValuesOrigin {
        let setup = self.description.regulator.as_ref();
        setup.map_or_else(ValuesOrigin::default, |setup| setup.regulator.values.origin)
    }

    /// What has to be said beside every result: what was noticed of the field, and of the description
    /// as it is solved.
    #[must_use]
    pub fn notes(&self) -> Vec<Note> {
        let mut notes: Vec<Note> = Vec::new();
        let solved = self.starts.first().into_iter().flat_map(|(_, steps)| steps.iter().flatten());
        let of_field = self.description.field.iter().flat_map(|setup| setup.notes.clone());
        for note in solved.flat_map(SolvedStep::notes).chain(of_field) {
            if !notes.contains(&note) {
                notes.push(note);
            }
        }
        notes
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

    fn outcomes(&self, answers: &[Result<StepAnswer>]) -> Vec<StepOutcome> {
        self.steps.iter().zip(answers).map(|(step, answer)| outcome(step, answer)).collect()
    }

    fn answers(&self, description: &Description) -> Result<Vec<Result<StepAnswer>>> {
        let load = CircuitLoad::of(description)?;
        let regulator = &description.regulator.as_ref().ok_or_else(no_regulator)?.regulator;
        let mut answers: Vec<Result<StepAnswer>> = Vec::with_capacity(self.steps.len());
        // The share of lamps out changes the solution most: the nearest first.
        let open_ratio = Self::open_ratio(description);
        let mut sets: Vec<_> = self.starts.iter().collect();
        sets.sort_by(|(a, _), (b, _)| (a - open_ratio).abs().total_cmp(&(b - open_ratio).abs()));
        for (at, step) in self.steps.iter().enumerate() {
            let before = answers.iter().rev().find_map(|answer| match answer {
                Ok(StepAnswer::Held(point)) => Some(point),
                _ => None,
            });
            let mut starts: Vec<_> = sets.iter().map(|(_, set)| set[at].as_ref()).collect();
            starts.push(before);
            answers.push(load.hold(regulator, step, &starts, &self.options));
        }
        Ok(answers)
    }
}

fn points(answers: Vec<Result<StepAnswer>>) -> Vec<Option<SolvedStep>> {
    let point = |answer| match answer {
        Ok(StepAnswer::Held(point)) => Some(point),
        _ => None,
    };
    answers.into_iter().map(point).collect()
}

use std::sync::Arc;

use crate::circuit::Stability;
use crate::description::{Description, FieldSetup, RegulatorSetup};
use crate::error::{Error, Note, Result};
use crate::regulator::{ReachSide, Regulated};
use crate::series::{Field, FieldAnswer, FieldLoad, LampsOut};

use super::generic_field::{generic_field, note};
use super::kept::{Kept, Point};
use super::{OutOfReach, Output, Seen, Situation};

/// Answers situations of one description, each from the nearest of the last solutions.
///
/// # Validity
/// The answer is that of a solver that has seen nothing, to rounding: a start that does not lead to a stable
/// solution is given up. `law_a_situation_does_not_depend_on_what_was_asked_before` holds it.
#[derive(Clone, Debug)]
pub struct SituationSolver {
    description: Arc<Description>,
    kept: Vec<Kept>,
}

/// A solution with what has to be said about it.
struct Solved {
    point: Point,
    reach: Option<OutOfReach>,
    notes: Vec<Note>,
}

impl SituationSolver {
    /// Solutions kept to start from.
    const KEPT: usize = 8;

    /// A solver for a description; it may be shared with others.
    #[must_use]
    pub fn new(description: impl Into<Arc<Description>>) -> Self {
        Self { description: description.into(), kept: Vec::new() }
    }

    /// The description.
    #[must_use]
    pub fn description(&self) -> &Description {
        &self.description
    }

    /// What is seen in a situation.
    ///
    /// # Errors
    /// As [`Situation::check`]; `NotConverged` when the circuit cannot be solved.
    pub fn seen(&mut self, situation: &Situation) -> Result<Seen> {
        let description = Arc::clone(&self.description);
        situation.check(&description)?;
        let step = situation.step_of(&description)?;
        let setup = situation.setup(&description)?;
        let (nominal_a, load_ratio) = (step.nominal.a(), situation.load_ratio(&setup));
        let named = |error: Error| error.with_context(format!("step {}", step.number));
        let start = self.nearest(situation, nominal_a, load_ratio);
        let field = match situation.output {
            Output::Field => {
                description.field.as_ref().map(|FieldSetup { field, .. }| field.clone())
            }
            Output::Load(_) | Output::AsSet if situation.lamps_out_ratio.is_some() => {
                Some(generic_field(&setup.regulator, load_ratio)?)
            }
            Output::Load(_) | Output::AsSet => None,
        };
        let solve = |start: Option<&Point>| match &field {
            Some(field) => on_field(&setup, field, situation.lamps_out_ratio, nominal_a, start),
            None => on_load(&setup, load_ratio, nominal_a, start),
        };
        let solved = match start.map(|start| solve(Some(start))) {
            Some(Ok(solved)) if solved.reach.is_none() && solved.is_stable() => solved,
            _ => solve(None).map_err(named)?,
        };
        let Solved { point, reach, mut notes } = solved;
        if field.is_some() && situation.output != Output::Field {
            notes.push(note(load_ratio));
        }
        let seen = Seen::new(&description, situation, step, &setup, &point, reach, notes)?;
        if seen.reach.is_none() {
            let situation = situation.clone();
            self.kept.push(Kept { situation, nominal_a, load_ratio, point });
            let over = self.kept.len().saturating_sub(Self::KEPT);
            self.kept.drain(..over);
        }
        Ok(seen)
    }

    fn nearest(&self, situation: &Situation, nominal_a: f64, load_ratio: f64) -> Option<&Point> {
        let near = self.kept.iter().filter_map(|kept| {
            kept.distance(situation, nominal_a, load_ratio).map(|distance| (distance, &kept.point))
        });
        near.min_by(|one, other| one.0.total_cmp(&other.0)).map(|(_, point)| point)
    }
}

impl Solved {
    fn is_stable(&self) -> bool {
        let solution = match &self.point {
            Point::Load(point) => &point.solution,
            Point::Field(point) => &point.operating.solution,
        };
        solution.stability() == Stability::Stable
    }
}

fn on_load(
    setup: &RegulatorSetup,
    load_ratio: f64,
    target_a: f64,
    start: Option<&Point>,
) -> Result<Solved> {
    let load = setup.load(load_ratio)?;
    let start = match start {
        Some(Point::Load(point)) => Some(point.as_ref()),
        _ => None,
    };
    let (point, reach) = match setup.regulator.hold(&load, target_a, start, &setup.options())? {
        Regulated::Held(point) => (point, None),
        Regulated::OutOfReach(reach) => {
            let out = OutOfReach { limit_a: reach.limit_a, side: reach.side };
            (Box::new(reach.nearest), Some(out))
        }
    };
    let mut notes = point.notes();
    notes.extend(reach.map(|reach| reach.note(target_a)));
    Ok(Solved { point: Point::Load(point), reach, notes })
}

fn on_field(
    setup: &RegulatorSetup,
    field: &Field,
    open_ratio: Option<f64>,
    target_a: f64,
    start: Option<&Point>,
) -> Result<Solved> {
    let regulator = &setup.regulator;
    let load = match open_ratio {
        Some(ratio) => FieldLoad::with_open_ratio(field, regulator, ratio, LampsOut::EveryGroup)?,
        None => FieldLoad::for_regulator(field, regulator)?,
    };
    let start = match start {
        Some(Point::Field(point)) => Some(point.as_ref()),
        _ => None,
    };
    let (point, reach) = match load.hold(regulator, target_a, start, &setup.options())? {
        FieldAnswer::Held(point) => (point, None),
        FieldAnswer::OutOfReach(reach) => {
            let out = OutOfReach { limit_a: reach.limit_a, side: reach.side };
            (Box::new(reach.nearest), Some(out))
        }
    };
    let mut notes = point.notes();
    notes.extend(reach.map(|reach| reach.note(target_a)));
    Ok(Solved { point: Point::Field(point), reach, notes })
}

impl OutOfReach {
    /// The finding.
    fn note(self, target_a: f64) -> Note {
        let side = match self.side {
            ReachSide::AboveHighest => "highest",
            ReachSide::BelowLowest => "lowest",
        };
        Note::new(
            "out-of-reach",
            format!(
                "{target_a} A is out of reach of this regulator here: the {side} current it can hold is \
                 {:.3} A, shown in its place",
                self.limit_a
            ),
        )
    }
}

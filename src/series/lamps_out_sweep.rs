use rayon::prelude::*;

use crate::error::{Bounds, Result};
use crate::regulator::{ResonantRegulator, SolveOptions, Step};

use super::{Field, FieldAnswer, FieldLoad, FieldPoint, LampsOut, LampsOutPoint, LampsOutShape};

/// A step as the share of lamps out grows.
#[derive(Clone, Debug, PartialEq)]
pub struct LampsOutSweep {
    /// The step.
    pub step: Step,
    /// Which groups have lamps out.
    pub which: LampsOut,
    /// One point for each share, in the order given.
    pub points: Vec<LampsOutPoint>,
    /// The smallest share at which the step can no longer be held: the first looked at when it is
    /// held at none, `None` when it is held at all.
    pub limit_ratio: Option<f64>,
}

impl LampsOutSweep {
    /// Shares that are looked at.
    pub const OPEN_RATIO: Bounds = Bounds::new("share of lamps out", "", 0.0, 0.9);
    /// The share at which a step can no longer be held is found this closely: a twentieth of one
    /// fixture in fifty.
    const LIMIT_TOLERANCE_RATIO: f64 = 1e-3;

    /// Shares from none to 40 % in even steps.
    #[must_use]
    pub fn even_ratios(count: usize) -> Vec<f64> {
        const MOST: f64 = 0.4;
        let last = count.saturating_sub(1).max(1) as f64;
        (0..count).map(|k| MOST * k as f64 / last).collect()
    }

    /// Sweeps several steps on all processors; within a step each share, which must rise, starts
    /// from the one before. Steps come in the order given.
    ///
    /// # Errors
    /// `OutOfRange` for a share out of bounds; otherwise that of the first step and share in order
    /// that neither has a solution nor is out of reach.
    pub fn of(
        regulator: &ResonantRegulator,
        field: &Field,
        which: LampsOut,
        open_ratios: &[f64],
        steps: &[Step],
        options: &SolveOptions,
    ) -> Result<Vec<Self>> {
        open_ratios.iter().try_for_each(|ratio| Self::OPEN_RATIO.check(*ratio).map(drop))?;
        let sweep = Sweep { regulator, field, which, options };
        let sweeps: Vec<Result<Self>> =
            steps.par_iter().map(|step| sweep.of_step(step, open_ratios)).collect();
        sweeps.into_iter().collect()
    }
}

struct Sweep<'a> {
    regulator: &'a ResonantRegulator,
    field: &'a Field,
    which: LampsOut,
    options: &'a SolveOptions,
}

impl Sweep<'_> {
    fn of_step(&self, step: &Step, open_ratios: &[f64]) -> Result<LampsOutSweep> {
        let mut points = Vec::with_capacity(open_ratios.len());
        let mut last: Option<(f64, Box<FieldPoint>)> = None;
        let mut limit_ratio = None;
        for &open_ratio in open_ratios {
            let start = last.as_ref().map(|(_, point)| point.as_ref());
            let place = || format!("step {} at {open_ratio} of the lamps out", step.number);
            let answer =
                self.at(step, open_ratio, start).map_err(|error| error.with_context(place()))?;
            let mut shape = None;
            match answer {
                FieldAnswer::Held(point) => {
                    shape = LampsOutShape::of(&point);
                    last = Some((open_ratio, point));
                }
                FieldAnswer::OutOfReach(_) if limit_ratio.is_none() => {
                    limit_ratio = Some(match &last {
                        Some((held_ratio, point)) => {
                            self.limit(step, *held_ratio, open_ratio, point)?
                        }
                        None => open_ratio,
                    });
                }
                FieldAnswer::OutOfReach(_) => {}
            }
            points.push(LampsOutPoint { open_ratio, shape });
        }
        Ok(LampsOutSweep { step: step.clone(), which: self.which, points, limit_ratio })
    }

    fn at(&self, step: &Step, open_ratio: f64, start: Option<&FieldPoint>) -> Result<FieldAnswer> {
        let load = FieldLoad::with_open_ratio(self.field, self.regulator, open_ratio, self.which)?;
        load.hold(self.regulator, step.nominal.a(), start, self.options)
    }

    /// Halves the gap between a share at which the step is held and one at which it is not.
    fn limit(&self, step: &Step, held: f64, lost: f64, start: &FieldPoint) -> Result<f64> {
        let (mut held, mut lost) = (held, lost);
        while lost - held > LampsOutSweep::LIMIT_TOLERANCE_RATIO {
            let middle = 0.5 * (held + lost);
            match self.at(step, middle, Some(start))? {
                FieldAnswer::Held(_) => held = middle,
                FieldAnswer::OutOfReach(_) => lost = middle,
            }
        }
        Ok(lost)
    }
}

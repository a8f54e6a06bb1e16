use crate::error::{Bounds, Result};
use crate::waveform::TrueRms;

use super::{
    Load, Regulated, ResistiveLoad, ResonantRegulator, SolveOptions, Step, operating_table,
};

/// How a step's current changes shape as the load grows from a short to the rated resistance.
#[derive(Clone, Debug, PartialEq)]
pub struct LoadCurve {
    /// The step's number.
    pub step: u32,
    /// Its nominal current.
    pub nominal: TrueRms,
    /// One point for each load, in the order given.
    pub points: Vec<LoadPoint>,
}

/// A step on one load.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LoadPoint {
    /// Resistance over the rated one: 0 is a short.
    pub load_ratio: f64,
    /// Error of an average-responding meter; `None` when the step is out of reach on this load.
    pub average_error_ratio: Option<f64>,
    /// Crest factor of the output current; `None` when the step is out of reach on this load.
    pub crest_factor: Option<f64>,
}

impl LoadCurve {
    /// Resistance over the rated one.
    pub const LOAD_RATIO: Bounds = Bounds::new("load over rated load", "", 0.0, 10.0);

    /// Loads from a short to the rated one in even steps.
    #[must_use]
    pub fn even_ratios(count: usize) -> Vec<f64> {
        let last = count.saturating_sub(1).max(1) as f64;
        (0..count).map(|k| k as f64 / last).collect()
    }

    /// The curves of several steps over the same loads, on all processors; the steps come in the
    /// order given, and so do the loads.
    ///
    /// A short is taken as the smallest resistance a load may have.
    ///
    /// # Errors
    /// `OutOfRange` for a load out of bounds; otherwise that of the first step and load in order
    /// that neither has a solution nor is out of reach.
    pub fn of(
        regulator: &ResonantRegulator,
        steps: &[Step],
        load_ratios: &[f64],
        options: &SolveOptions,
    ) -> Result<Vec<Self>> {
        let rated_ohm = regulator.values.rated_resistance_ohm();
        let least_ohm = ResistiveLoad::RESISTANCE_OHM.min;
        let loads = load_ratios
            .iter()
            .map(|ratio| {
                let ratio = Self::LOAD_RATIO.check(*ratio)?;
                ResistiveLoad::new((ratio * rated_ohm).max(least_ohm))
            })
            .collect::<Result<Vec<_>>>()?;
        let attached: Vec<&dyn Load> = loads.iter().map(|load| load as &dyn Load).collect();
        let targets_a: Vec<f64> = steps.iter().map(|step| step.nominal.a()).collect();
        let mut curves: Vec<Self> = steps
            .iter()
            .map(|step| Self { step: step.number, nominal: step.nominal, points: Vec::new() })
            .collect();
        for cell in operating_table(regulator, &attached, &targets_a, options) {
            let load_ratio = load_ratios[cell.load];
            let curve = &mut curves[cell.target];
            let answer = cell.answer.map_err(|error| {
                error.with_context(format!("step {} at load ratio {load_ratio}", curve.step))
            })?;
            curve.points.push(LoadPoint::of(load_ratio, &answer));
        }
        Ok(curves)
    }
}

impl LoadPoint {
    fn of(load_ratio: f64, answer: &Regulated) -> Self {
        match answer {
            Regulated::Held(point) => Self {
                load_ratio,
                average_error_ratio: Some(point.average_responding_error_ratio()),
                crest_factor: point.output.measures().dc.crest_factor(),
            },
            Regulated::OutOfReach(_) => {
                Self { load_ratio, average_error_ratio: None, crest_factor: None }
            }
        }
    }
}

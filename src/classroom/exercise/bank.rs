use std::path::Path;

use rayon::prelude::*;

use crate::description::Description;
use crate::error::{Error, Result};
use crate::lamp::LampLaw;
use crate::regulator::{
    BandSet, CircuitClass, Load, Regulated, ResistiveLoad, SolveOptions, Step, StepTable,
    operating_table,
};
use crate::series::{LampsOut, LampsOutSweep};
use crate::waveform::{Measures, Waveform};

/// Everything the problems are drawn from, solved once: currents of an invented regulator at every
/// step and several loads, and what lamps out make of them on an invented field.
#[derive(Debug)]
pub struct Bank {
    /// The steps of a 6.6 A circuit, the brightest first, with bands read in print.
    pub(super) steps: StepTable,
    /// The same steps with the other bands read in print.
    pub(super) other_steps: StepTable,
    /// The lamp laws.
    pub(super) lamp: LampLaw,
    /// Currents, load by load, the brightest step first.
    points: Vec<BankPoint>,
    /// The steps as the share of lamps out grows, the brightest first.
    pub(super) sweeps: Vec<LampsOutSweep>,
    /// Fixtures of the field.
    pub(super) fixtures: u32,
}

/// A current of the bank.
#[derive(Debug)]
pub(super) struct BankPoint {
    /// The step it is held for.
    pub(super) step: Step,
    /// The load, as a share of the rated resistance.
    pub(super) load_ratio: f64,
    /// One period, at the nominal of the step.
    pub(super) waveform: Waveform,
    /// Its measures.
    pub(super) measures: Measures,
}

/// An output shorted with its leads, and fields of several sizes.
const LOADS: [f64; 6] = [0.02, 0.30, 0.45, 0.60, 0.75, 0.90];
/// Shares of lamps out: every 2.5 %.
const SHARES: usize = 13;
const MOST_SHARE: f64 = 0.30;
const TEXT: &str = include_str!("bank.toml");

impl Bank {
    /// Solves the bank, on all processors; the result is the same on any number of them.
    ///
    /// # Errors
    /// As the solver; none in practice, the circuits being ours.
    pub fn solved() -> Result<Self> {
        let description = Description::parse(TEXT, Path::new(""))?;
        let missing = || Error::inconsistent("the exercise circuits lack regulator or field");
        let setup = description.regulator.as_ref().ok_or_else(missing)?;
        let field = &description.field.as_ref().ok_or_else(missing)?.field;
        let steps = description.steps.clone();
        let other_steps = StepTable::published(CircuitClass::FiveStep6A6, BandSet::Mil1998)?;
        let options = SolveOptions { samples_per_period: 1800, ..SolveOptions::default() };

        let loads: Vec<ResistiveLoad> =
            LOADS.iter().map(|ratio| setup.load(*ratio)).collect::<Result<_>>()?;
        let attached: Vec<&dyn Load> = loads.iter().map(|load| load as &dyn Load).collect();
        let nominals_a: Vec<f64> = steps.steps().iter().map(|step| step.nominal.a()).collect();
        let cells = operating_table(&setup.regulator, &attached, &nominals_a, &options);
        let mut points = Vec::with_capacity(cells.len());
        for cell in cells {
            let Regulated::Held(point) = cell.answer? else { continue };
            let waveform = point.output.clone().from_rising_zero();
            points.push(BankPoint {
                step: steps.steps()[cell.target].clone(),
                load_ratio: LOADS[cell.load],
                measures: waveform.measures(),
                waveform,
            });
        }

        let shares: Vec<f64> =
            (0..SHARES).map(|k| MOST_SHARE * k as f64 / (SHARES - 1) as f64).collect();
        let swept: Vec<Result<Vec<LampsOutSweep>>> = steps
            .steps()
            .par_iter()
            .map(|step| {
                let one = std::slice::from_ref(step);
                let (regulator, which) = (&setup.regulator, LampsOut::EveryGroup);
                LampsOutSweep::of(regulator, field, which, &shares, one, &options)
            })
            .collect();
        let sweeps: Vec<LampsOutSweep> =
            swept.into_iter().collect::<Result<Vec<_>>>()?.into_iter().flatten().collect();
        Ok(Self {
            steps,
            other_steps,
            lamp: description.lamp.clone(),
            points,
            sweeps,
            fixtures: field.fixtures(),
        })
    }

    /// The currents with the output shorted.
    pub(super) fn shorted(&self) -> Vec<&BankPoint> {
        self.points.iter().filter(|point| point.is_shorted()).collect()
    }

    /// The currents on a field.
    pub(super) fn loaded(&self) -> Vec<&BankPoint> {
        self.points.iter().filter(|point| !point.is_shorted()).collect()
    }

    /// Every current.
    pub(super) fn all(&self) -> Vec<&BankPoint> {
        self.points.iter().collect()
    }

    /// The currents of every step at the load of one of them, the brightest step first.
    pub(super) fn at_load_of(&self, other: &BankPoint) -> Vec<&BankPoint> {
        let same = |point: &&BankPoint| point.load_ratio.total_cmp(&other.load_ratio).is_eq();
        self.points.iter().filter(same).collect()
    }

    /// Numbers of the steps, rising.
    pub(super) fn step_numbers(&self) -> Vec<u32> {
        let mut numbers: Vec<u32> = self.steps.steps().iter().map(|step| step.number).collect();
        numbers.sort_unstable();
        numbers
    }
}

impl BankPoint {
    pub(super) fn is_shorted(&self) -> bool {
        self.load_ratio < 0.1
    }

    /// RMS over average rectified value.
    pub(super) fn form_factor(&self) -> Option<f64> {
        self.measures.dc.form_factor()
    }

    /// Peak over RMS.
    pub(super) fn crest_factor(&self) -> Option<f64> {
        self.measures.dc.crest_factor()
    }

    /// What is connected, in words.
    pub(super) fn words(&self) -> String {
        if self.is_shorted() {
            "the output shorted".into()
        } else {
            format!("the field connected ({:.0} % of the rated load)", 100.0 * self.load_ratio)
        }
    }
}

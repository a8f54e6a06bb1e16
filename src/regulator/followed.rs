use crate::circuit::{
    BranchId, Circuit, FollowOptions, Network, PeriodicSolution, ShootingOptions, Stability, follow,
};
use crate::error::{Bounds, Result};
use crate::waveform::Coupling;

use super::{OperatingPoint, ResistiveLoad, ResonantRegulator, Supply};

/// What moves while a solution is followed; everything else is held, the firing delay too.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Followed {
    /// Load as a share of the rated load resistance.
    Load,
    /// Supply voltage as a share of the rated one.
    SupplyVoltage,
    /// Firing delay in radians.
    Delay,
}

/// A branch of periodic solutions as a parameter moves, past the folds where it turns back.
#[derive(Clone, Debug, PartialEq)]
pub struct FollowedBranch {
    /// Points in the order they were met.
    pub rows: Vec<FollowedRow>,
    /// Parameter at each fold: there a real regulator would jump.
    pub folds: Vec<f64>,
    /// Ranges of the parameter in which at least three solutions of this branch coexist.
    pub coexistence: Vec<(f64, f64)>,
    /// Why following ended early, if it did.
    pub ended_early: Option<String>,
}

/// One solution on a branch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FollowedRow {
    /// The parameter.
    pub parameter: f64,
    /// True RMS of the output current.
    pub output_rms_a: f64,
    /// Its crest factor; `None` for a zero current.
    pub crest_factor: Option<f64>,
    /// Stability at the held firing delay.
    pub stability: Stability,
}

impl ResonantRegulator {
    /// Load of a branch.
    const LOAD_RATIO: Bounds = Bounds::new("load", "of rated", 0.001, 5.0);
    /// Most points on a branch.
    const POINTS: usize = 400;
    /// Samples of a period for RMS and crest factor of a point.
    const SAMPLES: usize = 1440;

    /// Follows a solution found at an operating point as one parameter moves to `to`.
    ///
    /// `load_ratio` is the load of the operating point; `begin` the solution to follow: the point's
    /// own or one of [`OperatingPoint::others`].
    ///
    /// # Errors
    /// `OutOfRange` for an end beyond the parameter's bounds; otherwise as [`follow`].
    pub fn follow(
        &self,
        load_ratio: f64,
        point: &OperatingPoint,
        begin: &PeriodicSolution,
        along: Followed,
        to: f64,
    ) -> Result<FollowedBranch> {
        let delay_rad = point.delay_rad();
        let (from, to) = match along {
            Followed::Load => (load_ratio, Self::LOAD_RATIO.check(to)?),
            Followed::SupplyVoltage => {
                (self.supply.voltage_ratio, Supply::VOLTAGE_RATIO.check(to)?)
            }
            Followed::Delay => (delay_rad, Self::DELAY_RAD.check(to)?),
        };
        let make = |parameter: f64| -> Result<(Network, BranchId)> {
            let mut regulator = self.clone();
            let (mut ratio, mut delay_rad) = (load_ratio, delay_rad);
            match along {
                Followed::Load => ratio = parameter,
                Followed::SupplyVoltage => regulator.supply.voltage_ratio = parameter,
                Followed::Delay => delay_rad = parameter,
            }
            let load = ResistiveLoad::new(ratio * self.values.rated_resistance_ohm())?;
            let made = regulator.network(&load, delay_rad)?;
            Ok((made.network, made.output))
        };
        let periods = (begin.period_s * point.circuit.network().frequency_hz()).round() as usize;
        let options = FollowOptions {
            from,
            to,
            step: 0.05,
            points: Self::POINTS,
            shooting: ShootingOptions {
                symmetry: begin.symmetry,
                periods: periods.max(1),
                ..ShootingOptions::default()
            },
        };
        let branch = follow(&|parameter| Ok(make(parameter)?.0), &begin.section, &options)?;
        let row = |at: &crate::circuit::BranchPoint| {
            let (network, output) = make(at.parameter)?;
            let circuit = Circuit::new(&network)?;
            let samples = Self::SAMPLES * periods.max(1);
            let current = at.solution.waveform(&circuit, output, samples)?;
            Ok(FollowedRow {
                parameter: at.parameter,
                output_rms_a: current.rms_a(Coupling::Dc),
                crest_factor: current.measures().dc.crest_factor(),
                stability: at.solution.stability(),
            })
        };
        Ok(FollowedBranch {
            rows: branch.points.iter().map(row).collect::<Result<_>>()?,
            folds: branch.folds.iter().map(|at| branch.points[*at].parameter).collect(),
            coexistence: branch.coexistence(),
            ended_early: branch.ended_early,
        })
    }
}

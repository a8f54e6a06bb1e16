use num_complex::Complex64;
use rayon::prelude::*;

use crate::error::{Error, Result};
use crate::numeric::LeastSquares;
use crate::regulator::{OperatingPoint, Regulated, ResonantRegulator, SolveOptions};

use super::lines::{phasors, turned};
use super::{Observation, Parameter};

/// Half of the distance of central differences on the scale of the fit: operating points close to
/// 1e-10, so a difference is good to 1e-6 from rounding, and to 1e-6 from the curvature of the iron.
const STEP: f64 = 1e-4;
/// Numbers of each capture's own: the held current and the shift in time.
pub(super) const OWN: usize = 2;

/// The least-squares problem: lines of the periodic solutions against measured lines.
///
/// Parameters: the free values, then of each observation the logarithm of its held RMS over the
/// start's and its shift as an angle of the fundamental.
pub(super) struct Problem<'a> {
    base: &'a ResonantRegulator,
    free: &'a [Parameter],
    starts: Vec<f64>,
    observations: &'a [Observation],
    /// What one residual is counted in, per observation.
    units_a: Vec<f64>,
    /// RMS at which each observation's held current starts.
    start_rms_a: Vec<f64>,
    /// Operating points of the last point accepted: starts for its neighbours.
    near: Vec<Option<OperatingPoint>>,
    /// Operating points of the last point looked at.
    looked_at: Vec<OperatingPoint>,
}

/// One observation as the model has it.
struct Predicted {
    /// Lines with the time of the supply, whose fundamental begins at its rising zero.
    lines: Vec<Complex64>,
    point: OperatingPoint,
}

impl<'a> Problem<'a> {
    pub(super) fn new(
        base: &'a ResonantRegulator,
        free: &'a [Parameter],
        observations: &'a [Observation],
        units_a: Vec<f64>,
    ) -> Self {
        Self {
            base,
            free,
            starts: free.iter().map(|parameter| parameter.of(base)).collect(),
            observations,
            units_a,
            start_rms_a: observations.iter().map(|seen| seen.lines.total_rms_a()).collect(),
            near: observations.iter().map(|_| None).collect(),
            looked_at: Vec::new(),
        }
    }

    /// Where the search begins: the values as given, each capture shifted until the fundamentals
    /// agree.
    pub(super) fn start(&self) -> Result<Vec<f64>> {
        let mut x = vec![0.0; self.free.len()];
        let shifts = self.observations.par_iter().enumerate().map(|(at, seen)| {
            let predicted = self.predicted(at, self.base, self.start_rms_a[at])?;
            Ok((seen.lines.rms_a[0] / predicted.lines[0]).arg())
        });
        // All of them first: which failure is told shall not depend on who was quicker.
        for shift_rad in shifts.collect::<Vec<Result<f64>>>() {
            x.extend([0.0, shift_rad?]);
        }
        Ok(x)
    }

    pub(super) fn unknowns(&self) -> usize {
        self.free.len() + OWN * self.observations.len()
    }

    pub(super) fn residual_count(&self) -> usize {
        self.observations.iter().map(|seen| 2 * seen.lines.rms_a.len()).sum()
    }

    /// The regulator at a point.
    pub(super) fn regulator_at(&self, x: &[f64]) -> ResonantRegulator {
        let mut regulator = self.base.clone();
        for ((parameter, start), place) in self.free.iter().zip(&self.starts).zip(x) {
            parameter.set(&mut regulator, parameter.value_at(*start, *place));
        }
        regulator
    }

    /// Held RMS and shift of an observation.
    pub(super) fn own(&self, x: &[f64], at: usize) -> (f64, f64) {
        let own = &x[self.free.len() + OWN * at..];
        (self.start_rms_a[at] * own[0].exp(), own[1])
    }

    /// Lines of an observation in the time of its capture, and the operating point.
    pub(super) fn shifted(&self, x: &[f64], at: usize) -> Result<(Vec<Complex64>, OperatingPoint)> {
        let regulator = self.regulator_at(x);
        let (held_rms_a, shift_rad) = self.own(x, at);
        let predicted = self.predicted(at, &regulator, held_rms_a)?;
        Ok((turned(&predicted.lines, shift_rad), predicted.point))
    }

    fn predicted(
        &self,
        at: usize,
        regulator: &ResonantRegulator,
        held_rms_a: f64,
    ) -> Result<Predicted> {
        let seen = &self.observations[at];
        let regulator = seen.on_its_mains(regulator)?;
        let orders = seen.lines.rms_a.len();
        let options =
            SolveOptions { samples_per_period: (8 * orders).max(512), ..SolveOptions::default() };
        let start = self.near[at].as_ref();
        let named = |error: Error| error.with_context(seen.name.clone());
        match regulator.hold(seen.load.as_ref(), held_rms_a, start, &options).map_err(named)? {
            Regulated::Held(point) => {
                let begin_rad =
                    point.circuit.network().omega_rad_per_s() * point.solution.section.time_s;
                let lines = turned(&phasors(&point.output, orders), -begin_rad);
                Ok(Predicted { lines, point: *point })
            }
            Regulated::OutOfReach(reach) => Err(named(
                Error::inconsistent(format!(
                    "the regulator to begin with cannot give {held_rms_a:.3} A on this load; its \
                     limit is {:.3} A",
                    reach.limit_a
                ))
                .with_hint("are load and rating right? begin from values nearer to the machine"),
            )),
        }
    }

    /// Derivatives of one observation's residuals by one number, its own being the last two.
    fn column(&self, x: &[f64], at: usize, column: usize) -> Option<Vec<f64>> {
        let unit_a = self.units_a[at];
        if column == self.free.len() + 1 {
            let lines = self.shifted_near(x, at)?;
            let turning =
                |(k, line): (usize, &Complex64)| Complex64::I * (k + 1) as f64 * line / unit_a;
            return Some(stacked(lines.iter().enumerate().map(turning)));
        }
        let place = if column < self.free.len() { column } else { self.free.len() + OWN * at };
        let beside = |by: f64| {
            let mut moved = x.to_vec();
            moved[place] += by;
            self.shifted_near(&moved, at)
        };
        // At the end of the regulator's range only one side has an answer.
        let (above, below, apart) = match (beside(STEP), beside(-STEP)) {
            (Some(above), Some(below)) => (above, below, 2.0 * STEP),
            (Some(above), None) => (above, self.shifted_near(x, at)?, STEP),
            (None, Some(below)) => (self.shifted_near(x, at)?, below, STEP),
            (None, None) => return None,
        };
        let slopes = above.iter().zip(&below).map(|(up, down)| (up - down) / (apart * unit_a));
        Some(stacked(slopes))
    }

    fn shifted_near(&self, x: &[f64], at: usize) -> Option<Vec<Complex64>> {
        self.shifted(x, at).ok().map(|(lines, _)| lines)
    }
}

impl LeastSquares for Problem<'_> {
    fn residuals(&mut self, x: &[f64]) -> Option<Vec<f64>> {
        let answers: Option<Vec<_>> = (0..self.observations.len())
            .into_par_iter()
            .map(|at| {
                let (lines, point) = self.shifted(x, at).ok()?;
                let measured = &self.observations[at].lines.rms_a;
                let off = lines.iter().zip(measured).map(|(p, m)| (p - m) / self.units_a[at]);
                Some((stacked(off), point))
            })
            .collect();
        let (residuals, points): (Vec<_>, Vec<_>) = answers?.into_iter().unzip();
        self.looked_at = points;
        Some(residuals.concat())
    }

    fn jacobian(&mut self, x: &[f64]) -> Option<Vec<f64>> {
        let (free, unknowns) = (self.free.len(), self.unknowns());
        let each = free + OWN;
        let this = &*self;
        let columns: Option<Vec<Vec<f64>>> = (0..this.observations.len() * each)
            .into_par_iter()
            .map(|job| this.column(x, job / each, job % each))
            .collect();
        let columns = columns?;
        let mut jacobian = vec![0.0; self.residual_count() * unknowns];
        let mut first_row = 0;
        for (at, own) in columns.chunks(each).enumerate() {
            for (column, slopes) in own.iter().enumerate() {
                let place = if column < free { column } else { column + OWN * at };
                for (row, slope) in slopes.iter().enumerate() {
                    jacobian[(first_row + row) * unknowns + place] = *slope;
                }
            }
            first_row += own[0].len();
        }
        Some(jacobian)
    }

    fn range(&self, parameter: usize) -> (f64, f64) {
        match self.free.get(parameter) {
            Some(free) => free.range(self.starts[parameter]),
            None => (f64::NEG_INFINITY, f64::INFINITY),
        }
    }

    fn accepted(&mut self, _x: &[f64]) {
        self.near = std::mem::take(&mut self.looked_at).into_iter().map(Some).collect();
    }
}

/// Real parts, then imaginary parts.
fn stacked(values: impl Iterator<Item = Complex64> + Clone) -> Vec<f64> {
    values.clone().map(|z| z.re).chain(values.map(|z| z.im)).collect()
}

use crate::error::{Bounds, Error, ErrorKind, Result};
use crate::numeric::Lu;

use super::newton::{Equations, Shooting};
use super::{Circuit, Network, PeriodicSolution, Section, ShootingOptions};

/// How a branch of solutions is followed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FollowOptions {
    /// Parameter at which to begin.
    pub from: f64,
    /// Parameter at which to stop; the branch may turn back before it gets there.
    pub to: f64,
    /// Length of a step, with the parameter range and each state's peak counted as 1.
    pub step: f64,
    /// Most points on the branch.
    pub points: usize,
    /// How each solution is found.
    pub shooting: ShootingOptions,
}

/// One solution on a branch.
#[derive(Clone, Debug)]
pub struct BranchPoint {
    /// The parameter.
    pub parameter: f64,
    /// The solution there.
    pub solution: PeriodicSolution,
}

/// A branch of periodic solutions over a parameter.
#[derive(Clone, Debug)]
pub struct SolutionBranch {
    /// Points in the order they were met.
    pub points: Vec<BranchPoint>,
    /// Numbers of the points next to which the parameter turned back: a jump in practice.
    pub folds: Vec<usize>,
    /// Why following ended before `to`, if it did.
    pub ended_early: Option<String>,
}

/// Follows a periodic solution as a parameter moves, past folds where it turns back.
///
/// `network` makes the network for a parameter value; its structure must stay the same. When the
/// firing delay is the parameter, let it set the gates' own delays.
///
/// # Formula
/// Pseudo-arclength: each step solves r(z, p) = 0 together with t·(z − z₀, p − p₀) = Δs, t the
/// unit tangent; ∂r/∂p by a central difference of 1e-6 of the range.
///
/// # Validity
/// Steps are fitted between 1/64 and 1 of `step`; two branches closer than that may be confused.
///
/// # Errors
/// `OutOfRange` or `Inconsistent` for options that make no sense; `NotConverged` when there is no
/// solution at the first parameter.
///
/// # Source
/// H. B. Keller, "Numerical solution of bifurcation and nonlinear eigenvalue problems", 1977 (the
/// idea, from memory).
pub fn follow(
    network: &dyn Fn(f64) -> Result<Network>,
    start: &Section,
    options: &FollowOptions,
) -> Result<SolutionBranch> {
    const STEP: Bounds = Bounds::new("step along a branch of solutions", "", 1e-5, 1.0);
    const POINTS: Bounds = Bounds::new("points on a branch of solutions", "", 2.0, 1e6);
    STEP.check(options.step)?;
    POINTS.check(options.points as f64)?;
    let range = options.to - options.from;
    if !(range.abs() > 0.0 && range.is_finite()) {
        return Err(Error::inconsistent("a branch must be followed over a range of the parameter"));
    }
    let circuit = Circuit::new(&network(options.from)?)?;
    let first = super::find_periodic(&circuit, start, None, None, &options.shooting)?;
    Follower { network, options, range }.run(first)
}

impl SolutionBranch {
    /// Ranges of the parameter between one fold and the next: there the branch passes three times,
    /// so that at least three solutions coexist.
    #[must_use]
    pub fn coexistence(&self) -> Vec<(f64, f64)> {
        self.folds
            .windows(2)
            .map(|pair| {
                let ends = [pair[0], pair[1]].map(|at| self.points[at].parameter);
                (ends[0].min(ends[1]), ends[0].max(ends[1]))
            })
            .collect()
    }

    /// Every solution of this branch at one parameter value: one for each time it passes there.
    ///
    /// # Errors
    /// `NotConverged` when a solution close to a fold cannot be polished.
    pub fn solutions_at(
        &self,
        network: &dyn Fn(f64) -> Result<Network>,
        parameter: f64,
        shooting: &ShootingOptions,
    ) -> Result<Vec<PeriodicSolution>> {
        let circuit = Circuit::new(&network(parameter)?)?;
        let mut found: Vec<PeriodicSolution> = Vec::new();
        for pair in self.points.windows(2) {
            let (before, after) = (pair[0].parameter - parameter, pair[1].parameter - parameter);
            if before * after > 0.0 {
                continue;
            }
            // Between the two points the state is close to linear in the parameter.
            let part = before / (before - after);
            let part = if part.is_finite() { part } else { 0.0 };
            let (a, b) = (&pair[0].solution.section, &pair[1].solution.section);
            let mut section = a.clone();
            if a.same_shape(b) {
                for (x, y) in section.state.iter_mut().zip(&b.state) {
                    *x += part * (y - *x);
                }
                for (x, y) in section.pending.iter_mut().zip(&b.pending) {
                    x.in_s += part * (y.in_s - x.in_s);
                }
            }
            let shooting = ShootingOptions { settle_maps: 0, attempts: 0, ..*shooting };
            let solution = super::find_periodic(&circuit, &section, None, None, &shooting)?;
            if !found.iter().any(|known| known.is_same_as(&solution, 1e-6)) {
                found.push(solution);
            }
        }
        Ok(found)
    }
}

/// A place on the branch: scaled unknowns and parameter.
#[derive(Clone, Debug)]
struct Place {
    section: Section,
    parameter: f64,
}

struct Follower<'a> {
    network: &'a dyn Fn(f64) -> Result<Network>,
    options: &'a FollowOptions,
    range: f64,
}

impl Follower<'_> {
    const SMALLEST_STEP: f64 = 1.0 / 64.0;
    const CORRECTIONS: usize = 10;

    fn run(&self, first: PeriodicSolution) -> Result<SolutionBranch> {
        let mut scale = first.scale.clone();
        let mut place = Place { section: first.section.clone(), parameter: self.options.from };
        let mut branch = SolutionBranch {
            points: vec![BranchPoint { parameter: place.parameter, solution: first }],
            folds: Vec::new(),
            ended_early: None,
        };
        let size = place.section.state.len() + place.section.pending.len();
        let mut tangent = vec![0.0; size + 1];
        tangent[size] = 1.0;
        let mut part = 1.0;
        while branch.points.len() < self.options.points {
            let turned = self.tangent(&place, &scale, &tangent)?;
            if turned[size] * tangent[size] < 0.0 && branch.points.len() > 1 {
                branch.folds.push(branch.points.len() - 1);
            }
            tangent = turned;
            let next = loop {
                match self.correct(&place, &scale, &tangent, part * self.options.step) {
                    Ok(next) => break Some(next),
                    Err(_) if part > Self::SMALLEST_STEP => part *= 0.5,
                    Err(error) => {
                        branch.ended_early = Some(error.to_string());
                        break None;
                    }
                }
            };
            let Some((next, solution)) = next else { break };
            part = f64::min(1.0, 1.5 * part);
            let passed = (next.parameter - self.options.to) * self.range > 0.0;
            let back = (next.parameter - self.options.from) * self.range < 0.0;
            place = next;
            // Peaks grow along a branch; direction and step are counted in the largest so far.
            for ((scale, now), t) in scale.iter_mut().zip(&solution.scale).zip(&mut tangent) {
                if now > scale {
                    *t *= *scale / now;
                    *scale = *now;
                }
            }
            branch.points.push(BranchPoint { parameter: place.parameter, solution });
            if passed || back {
                break;
            }
        }
        Ok(branch)
    }

    /// The equations and their derivative by the parameter, size × (size + 1).
    fn equations(&self, place: &Place, scale: &[f64]) -> Result<(Equations, Vec<f64>)> {
        let delta = 1e-6 * self.range;
        let at = |parameter: f64| -> Result<Equations> {
            let circuit = Circuit::new(&(self.network)(parameter)?)?;
            Shooting::new(&circuit, &place.section, None, None, &self.options.shooting)?
                .equations(scale)
        };
        let here = at(place.parameter)?;
        let above = at(place.parameter + delta)?.residual;
        let below = at(place.parameter - delta)?.residual;
        let size = here.residual.len();
        let mut full = vec![0.0; size * (size + 1)];
        for row in 0..size {
            let line = &mut full[row * (size + 1)..(row + 1) * (size + 1)];
            line[..size].copy_from_slice(&here.jacobian[row * size..(row + 1) * size]);
            line[size] = (above[row] - below[row]) / (2.0 * delta) * self.range;
        }
        Ok((here, full))
    }

    fn bordered(full: &[f64], last: &[f64]) -> Result<Lu> {
        let mut matrix = full.to_vec();
        matrix.extend_from_slice(last);
        Lu::factor(last.len(), matrix)
    }

    fn tangent(&self, place: &Place, scale: &[f64], before: &[f64]) -> Result<Vec<f64>> {
        let (_, full) = self.equations(place, scale)?;
        let mut t = vec![0.0; before.len()];
        *t.last_mut().expect("the parameter is always there") = 1.0;
        Self::bordered(&full, before)?.solve_in_place(&mut t);
        let length = t.iter().map(|v| v * v).sum::<f64>().sqrt();
        t.iter_mut().for_each(|v| *v /= length);
        Ok(t)
    }

    fn moved(&self, place: &Place, units: (&[f64], f64), by: &[f64], factor: f64) -> Place {
        let (scale, waiting_unit_s) = units;
        let n = place.section.state.len();
        let mut next = place.clone();
        for (state, x) in next.section.state.iter_mut().enumerate() {
            *x += factor * by[state] * scale[state];
        }
        for (at, firing) in next.section.pending.iter_mut().enumerate() {
            firing.in_s += factor * by[n + at] * waiting_unit_s;
        }
        next.parameter += factor * by[by.len() - 1] * self.range;
        next
    }

    fn correct(
        &self,
        place: &Place,
        scale: &[f64],
        tangent: &[f64],
        length: f64,
    ) -> Result<(Place, PeriodicSolution)> {
        let waiting_unit_s = self.equations(place, scale)?.0.waiting_unit_s;
        let mut next = self.moved(place, (scale, waiting_unit_s), tangent, length);
        let mut merit = f64::INFINITY;
        for _ in 0..Self::CORRECTIONS {
            let (equations, full) = self.equations(&next, scale)?;
            merit = equations.residual.iter().fold(0.0, |m: f64, r| m.max(r.abs()));
            if merit <= self.options.shooting.tolerance_ratio {
                return Ok((next, equations.solution));
            }
            let mut step: Vec<f64> = equations.residual.iter().map(|r| -r).collect();
            // Corrections stay at right angles to the tangent.
            step.push(0.0);
            Self::bordered(&full, tangent)?.solve_in_place(&mut step);
            if step.iter().any(|v| v.is_nan() || v.abs() >= 2.0) {
                break;
            }
            next = self.moved(&next, (scale, equations.waiting_unit_s), &step, 1.0);
        }
        Err(Error::new(ErrorKind::NotConverged {
            stage: format!("following a branch of solutions at parameter {}", next.parameter),
            iterations: Self::CORRECTIONS,
            residual: merit,
            worst: "the period map".to_owned(),
        })
        .with_hint("take a smaller step along the branch"))
    }
}

//! Newton's iteration on the period map, with the firing delay when a target is given.

use crate::error::{Error, ErrorKind, Result};
use crate::numeric::Lu;

use super::periodic::multipliers;
use super::{
    Circuit, Flow, PeriodicSolution, Section, SenseLaw, ShootingOptions, Symmetry, Target,
};

/// The equations of a periodic solution without control, scaled.
pub(super) struct Equations {
    pub(super) residual: Vec<f64>,
    pub(super) jacobian: Vec<f64>,
    /// Unit of the unknown times of waiting firings.
    pub(super) waiting_unit_s: f64,
    pub(super) solution: PeriodicSolution,
}

/// The equations at one place, and their derivative.
#[derive(Clone, Debug)]
struct Evaluation {
    end: Section,
    /// Scaled residual; `None` when start and end differ in shape.
    residual: Option<Vec<f64>>,
    jacobian: Vec<f64>,
    map: Vec<f64>,
    merit: f64,
    sensed_a: Option<f64>,
    scale: Vec<f64>,
}

pub(super) struct Shooting<'a> {
    circuit: &'a Circuit,
    options: &'a ShootingOptions,
    flow: Flow<'a>,
    target: Option<Target>,
    section: Section,
    delay_rad: Option<f64>,
    map_s: f64,
    sign: f64,
    iterations: usize,
    /// Scale of the states, when it is not to be taken from the run.
    fixed_scale: Option<Vec<f64>>,
}

impl<'a> Shooting<'a> {
    /// Delays are kept this far from the ends of half a period, and moved this far at most.
    const DELAY_EDGE_RAD: f64 = 1e-3;
    const DELAY_STEP_RAD: f64 = 0.35;

    pub(super) fn new(
        circuit: &'a Circuit,
        start: &Section,
        delay_rad: Option<f64>,
        target: Option<Target>,
        options: &'a ShootingOptions,
    ) -> Result<Self> {
        if target.is_some() && delay_rad.is_none() {
            return Err(Error::inconsistent("a target needs a firing delay to start from"));
        }
        let mut flow = Flow::new(circuit, options.plan)?;
        flow.set_sense(target.map(|target| (target.branch, target.law)));
        let period_s = 1.0 / circuit.network().frequency_hz();
        let (map_s, sign) = match options.symmetry {
            Symmetry::HalfWave => (0.5 * period_s, -1.0),
            Symmetry::FullPeriod => (period_s * options.periods as f64, 1.0),
        };
        Ok(Self {
            circuit,
            options,
            flow,
            target,
            section: start.clone(),
            delay_rad,
            map_s,
            sign,
            iterations: 0,
            fixed_scale: None,
        })
    }

    pub(super) fn restart(&mut self, start: &Section, delay_rad: Option<f64>) {
        self.section = start.clone();
        self.delay_rad = delay_rad;
    }

    /// The end of the map as the next start: signs and time taken back.
    fn as_start(&self, mut end: Section) -> Section {
        end.time_s = self.section.time_s;
        end.state.iter_mut().for_each(|x| *x *= self.sign);
        end
    }

    /// Lets the start run on; half-wave maps are averaged with the start's own mirror image.
    pub(super) fn settle(&mut self, maps: usize) -> Result<()> {
        self.flow.set_delay_rad(self.delay_rad);
        for _ in 0..maps {
            self.flow.start(&self.section)?;
            self.flow.advance_to(self.section.time_s + self.map_s, None)?;
            let mut next = self.as_start(self.flow.section());
            if self.sign < 0.0 && next.same_shape(&self.section) {
                for (x, before) in next.state.iter_mut().zip(&self.section.state) {
                    *x = 0.5 * (*x + before);
                }
            }
            self.section = next;
        }
        Ok(())
    }

    fn evaluate(&mut self, section: &Section, delay_rad: Option<f64>) -> Result<Evaluation> {
        let n = self.circuit.state_count();
        let waiting = section.pending.len();
        self.flow.set_delay_rad(delay_rad);
        self.flow.start_with_derivatives(section)?;
        let end_s = section.time_s + self.map_s;
        self.flow.advance_to(end_s, None)?;
        let end = self.flow.section();
        let scale: Vec<f64> = match &self.fixed_scale {
            Some(scale) => scale.clone(),
            None => self.scale(),
        };
        let (sensed_a, sensed_slope) = self.sensed();
        if !end.same_shape(section) {
            return Ok(Evaluation {
                end,
                residual: None,
                jacobian: Vec::new(),
                map: Vec::new(),
                merit: f64::INFINITY,
                sensed_a,
                scale,
            });
        }
        let free = n + waiting;
        let columns = free + 1;
        let size = free + usize::from(self.target.is_some());
        let mut residual = vec![0.0; size];
        let mut jacobian = vec![0.0; size * size];
        let mut map = vec![0.0; free * free];
        for row in 0..free {
            // Every row and column is scaled: states by their peaks, times by the period.
            let (derivative, miss, unit, sign) = if row < n {
                (
                    &self.flow.derivatives()[row * columns..(row + 1) * columns],
                    end.state[row] - self.sign * section.state[row],
                    scale[row],
                    self.sign,
                )
            } else {
                let at = row - n;
                let miss = end.pending[at].in_s - section.pending[at].in_s;
                (self.flow.pending_derivatives(at), miss, self.map_s, 1.0)
            };
            residual[row] = miss / unit;
            for column in 0..size {
                let column_unit = self.column_unit(column, n, free, &scale);
                let value = derivative[column] * column_unit / unit;
                jacobian[row * size + column] = value;
                if column < free {
                    // The second half runs through mirrored states but unmirrored waiting times, so
                    // the period's derivative is the square of the map followed by the mirror.
                    map[row * free + column] = sign * value;
                    if column == row {
                        jacobian[row * size + column] -= sign;
                    }
                }
            }
        }
        if let (Some(target), Some(shown_a)) = (self.target, sensed_a) {
            residual[free] = shown_a / target.sensed_a - 1.0;
            let row = self.flow.sensed().map_or(&[][..], |(_, row)| row);
            for (column, slope) in row.iter().enumerate() {
                jacobian[free * size + column] =
                    slope * sensed_slope * self.column_unit(column, n, free, &scale)
                        / target.sensed_a;
            }
        }
        let merit = residual
            .iter()
            .fold(0.0, |m: f64, r| if r.is_nan() { f64::INFINITY } else { m.max(r.abs()) });
        Ok(Evaluation { end, residual: Some(residual), jacobian, map, merit, sensed_a, scale })
    }

    /// Peak of each state over the run. A state that nearly vanishes is counted in a small part of
    /// the largest of its kind: its own peak may be rounding noise.
    fn scale(&self) -> Vec<f64> {
        const SMALLEST_PART: f64 = 1e-5;
        let peaks = self.flow.scale();
        let kind = |state: usize| {
            let branch = self.circuit.network().get(self.circuit.state_branch(state));
            std::mem::discriminant(&branch.element)
        };
        (0..peaks.len())
            .map(|state| {
                let alike = (0..peaks.len()).filter(|other| kind(*other) == kind(state));
                let largest = alike.fold(0.0, |m: f64, other| m.max(peaks[other]));
                let scale = peaks[state].max(SMALLEST_PART * largest);
                if scale > 0.0 { scale } else { 1.0 }
            })
            .collect()
    }

    /// Scaled residual and Jacobian at the start as it is, without any iteration.
    pub(super) fn equations(mut self, scale: &[f64]) -> Result<Equations> {
        self.fixed_scale = Some(scale.to_vec());
        let here = self.evaluate(&self.section.clone(), self.delay_rad)?;
        let Some(residual) = here.residual.clone() else { return Err(self.failure(&here)) };
        let jacobian = here.jacobian.clone();
        let waiting_unit_s = self.map_s;
        let mut solution = self.solution(here);
        solution.scale = self.scale();
        Ok(Equations { residual, jacobian, waiting_unit_s, solution })
    }

    fn column_unit(&self, column: usize, n: usize, free: usize, scale: &[f64]) -> f64 {
        if column < n {
            scale[column]
        } else if column < free {
            self.map_s
        } else {
            1.0
        }
    }

    /// What the sensing shows over the map, and the factor for its derivatives.
    fn sensed(&self) -> (Option<f64>, f64) {
        match (self.target, self.flow.sensed()) {
            (Some(Target { law, .. }), Some((sum, _))) => {
                let mean = sum / self.map_s;
                (Some(law.shown_a(mean)), law.shown_slope(mean) / self.map_s)
            }
            _ => (None, 0.0),
        }
    }

    pub(super) fn newton(&mut self) -> Result<PeriodicSolution> {
        let mut here = self.evaluate(&self.section.clone(), self.delay_rad)?;
        for _ in 0..self.options.iterations {
            if here.merit <= self.options.tolerance_ratio {
                return Ok(self.solution(here));
            }
            self.iterations += 1;
            let Some(residual) = &here.residual else {
                // Other switches on at the end than at the start: take the end's side.
                self.section = self.as_start(here.end.clone());
                here = self.evaluate(&self.section.clone(), self.delay_rad)?;
                continue;
            };
            let mut step: Vec<f64> = residual.iter().map(|r| -r).collect();
            Lu::factor(step.len(), here.jacobian.clone())
                .map_err(|error| error.with_context(self.stage()))?
                .solve_in_place(&mut step);
            let Some((section, delay_rad, next)) = self.damped(&here, &step)? else {
                return Err(self.failure(&here));
            };
            (self.section, self.delay_rad, here) = (section, delay_rad, next);
        }
        if here.merit <= self.options.tolerance_ratio {
            return Ok(self.solution(here));
        }
        Err(self.failure(&here))
    }

    /// The longest of a full, half, quarter … step that brings the residual down.
    fn damped(
        &mut self,
        here: &Evaluation,
        step: &[f64],
    ) -> Result<Option<(Section, Option<f64>, Evaluation)>> {
        let n = self.circuit.state_count();
        let free = n + self.section.pending.len();
        let mut part = match (self.target, step.last()) {
            (Some(_), Some(turn)) => (Self::DELAY_STEP_RAD / turn.abs()).min(1.0),
            _ => 1.0,
        };
        for _ in 0..8 {
            let mut section = self.section.clone();
            for (state, x) in section.state.iter_mut().enumerate() {
                *x += part * step[state] * here.scale[state];
            }
            for (at, firing) in section.pending.iter_mut().enumerate() {
                firing.in_s = (firing.in_s + part * step[n + at] * self.map_s).max(0.0);
            }
            let delay_rad = match (self.target, self.delay_rad) {
                (Some(_), Some(delay)) => Some(
                    (delay + part * step[free])
                        .clamp(Self::DELAY_EDGE_RAD, std::f64::consts::PI - Self::DELAY_EDGE_RAD),
                ),
                (_, delay) => delay,
            };
            // A wild step may run away: that is a reason to shorten it, not to give up.
            if let Ok(next) = self.evaluate(&section, delay_rad)
                && (next.merit < here.merit || next.merit <= self.options.tolerance_ratio)
            {
                return Ok(Some((section, delay_rad, next)));
            }
            part *= 0.5;
        }
        Ok(None)
    }

    fn solution(&self, here: Evaluation) -> PeriodicSolution {
        let free = self.circuit.state_count() + self.section.pending.len();
        PeriodicSolution {
            section: self.section.clone(),
            period_s: if self.sign < 0.0 { 2.0 * self.map_s } else { self.map_s },
            symmetry: self.options.symmetry,
            delay_rad: self.delay_rad,
            defect_ratio: here.merit,
            iterations: self.iterations,
            sensed_a: here.sensed_a,
            multipliers: multipliers(free, &here.map, self.options.symmetry),
            scale: here.scale,
            plan: self.options.plan,
        }
    }

    fn stage(&self) -> String {
        let what = match self.target.map(|target| target.law) {
            Some(SenseLaw::TrueRms) => " at the target RMS",
            Some(SenseLaw::RectifiedMean) => " at the target rectified mean",
            None => "",
        };
        let delay = self.delay_rad.map_or_else(String::new, |delay| {
            format!(", last tried at a firing delay of {:.2} degrees", delay.to_degrees())
        });
        format!("the periodic state{what}{delay}")
    }

    fn failure(&self, here: &Evaluation) -> Error {
        let n = self.circuit.state_count();
        let worst = match &here.residual {
            None => "the switches, which end in another state than they start".to_owned(),
            Some(residual) => {
                let at = (0..residual.len())
                    .max_by(|a, b| residual[*a].abs().total_cmp(&residual[*b].abs()))
                    .unwrap_or(0);
                if at < n {
                    self.circuit.state_name(at)
                } else if at < n + self.section.pending.len() {
                    let switch = self.section.pending[at - n].switch;
                    let id = self.circuit.switches[switch];
                    format!("the firing of \"{}\"", self.circuit.network().get(id).name)
                } else {
                    "the sensed current".to_owned()
                }
            }
        };
        Error::new(ErrorKind::NotConverged {
            stage: self.stage(),
            iterations: self.iterations,
            residual: here.merit,
            worst,
        })
        .with_hint(
            "start from a neighbouring solution, settle longer, or look over the full period",
        )
    }
}

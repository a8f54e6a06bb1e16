//! One period of a resonant source, from the rising zero crossing of its capacitor's voltage.

use crate::circuit::{BranchId, BranchTrace};
use crate::error::{Error, Result};
use crate::regulator::OperatingPoint;

/// Samples of a drawn period: about one for each pixel of the widest panel.
const SAMPLES: usize = 720;
/// Names of the branches a resonant source has.
const CAPACITOR: &str = "capacitor";
const TRIAC: &str = "triac";

/// Every branch over one period, with the times counted from that zero crossing.
pub(super) struct Cycle<'a> {
    point: &'a OperatingPoint,
    traces: Vec<BranchTrace>,
    pub(super) period_s: f64,
    /// Grid samples before the zero crossing, and the time from it to the first one after.
    before: usize,
    first_s: f64,
    /// When the triac turns on, and when off, each in rising order.
    pub(super) fired_s: Vec<f64>,
    pub(super) out_s: Vec<f64>,
}

impl<'a> Cycle<'a> {
    pub(super) fn of(point: &'a OperatingPoint) -> Result<Self> {
        let period_s = point.solution.period_s;
        let cell_s = period_s / SAMPLES as f64;
        let traces = point.traces(SAMPLES)?;
        let capacitor = &traces[place(point, CAPACITOR)?].voltage_v;
        let before = (0..SAMPLES)
            .find(|k| capacitor[(k + SAMPLES - 1) % SAMPLES] < 0.0 && capacitor[*k] >= 0.0)
            .ok_or_else(|| {
                Error::inconsistent("the capacitor's voltage never rises through zero")
            })?;
        let (last_v, next_v) = (capacitor[(before + SAMPLES - 1) % SAMPLES], capacitor[before]);
        let first_s = cell_s * next_v / (next_v - last_v);
        let zero_s = (before as f64 + 0.5).mul_add(cell_s, point.solution.section.time_s) - first_s;

        let triac = branch(point, TRIAC)?;
        let bit = point.circuit.switch_of(triac).map_or(0, |switch| 1_u32 << switch);
        let mut on = point.solution.section.switches_on & bit;
        let (mut fired_s, mut out_s) = (Vec::new(), Vec::new());
        for (time_s, mask) in point.solution.trajectory(&point.circuit)?.switchings() {
            let at_s = (time_s - zero_s).rem_euclid(period_s);
            match (on, mask & bit) {
                (0, now) if now != 0 => fired_s.push(at_s),
                (was, 0) if was != 0 => out_s.push(at_s),
                _ => {}
            }
            on = mask & bit;
        }
        fired_s.sort_by(f64::total_cmp);
        out_s.sort_by(f64::total_cmp);
        Ok(Self { point, traces, period_s, before, first_s, fired_s, out_s })
    }

    pub(super) fn current_a(&self, name: &str) -> Result<Vec<f64>> {
        Ok(self.turned(&self.traces[place(self.point, name)?].current_a))
    }

    pub(super) fn voltage_v(&self, name: &str) -> Result<Vec<f64>> {
        Ok(self.turned(&self.traces[place(self.point, name)?].voltage_v))
    }

    pub(super) fn output_voltage_v(&self) -> Result<Vec<f64>> {
        Ok(self.turned(&self.point.output_voltage_v(SAMPLES)?))
    }

    pub(super) fn output_current_a(&self) -> Result<Vec<f64>> {
        let name = &self.point.circuit.network().get(self.point.output_branch).name;
        self.current_a(name)
    }

    /// Flux linkage of an iron-cored branch: a state of the circuit, so its mean is the true one.
    pub(super) fn flux_wb(&self, name: &str) -> Result<Vec<f64>> {
        let circuit = &self.point.circuit;
        let state = circuit
            .state_of(branch(self.point, name)?)
            .ok_or_else(|| Error::inconsistent(format!("branch \"{name}\" has no flux")))?;
        let times_s = self.point.solution.grid_s(SAMPLES);
        let states = self.point.solution.trajectory(circuit)?.states(circuit, &times_s);
        Ok(self.turned(&states[state]))
    }

    /// Values against time in ms, closed at both ends of the period.
    pub(super) fn points(&self, values: &[f64]) -> Vec<(f64, f64)> {
        let cell_s = self.period_s / SAMPLES as f64;
        let seam = self.at_zero(values);
        let time_ms = |j: usize| 1e3 * cell_s.mul_add(j as f64, self.first_s);
        let inner = values.iter().enumerate().map(|(j, value)| (time_ms(j), *value));
        let mut points = vec![(0.0, seam)];
        points.extend(inner);
        points.push((1e3 * self.period_s, seam));
        points
    }

    /// Values against others, as a closed loop.
    pub(super) fn closed(x: &[f64], y: &[f64]) -> Vec<(f64, f64)> {
        x.iter().copied().zip(y.iter().copied()).chain([(x[0], y[0])]).collect()
    }

    /// A value at an instant of the period, between the samples on its two sides.
    pub(super) fn at(&self, values: &[f64], time_s: f64) -> f64 {
        let cells = (time_s - self.first_s) * SAMPLES as f64 / self.period_s;
        let (whole, part) = (cells.floor(), cells - cells.floor());
        let sample = |k: f64| values[(k as i64).rem_euclid(SAMPLES as i64) as usize];
        (sample(whole + 1.0) - sample(whole)).mul_add(part, sample(whole))
    }

    /// The stretches of the period in which the triac conducts.
    pub(super) fn conducting_s(&self) -> Vec<(f64, f64)> {
        let mut stretches = Vec::new();
        for fired_s in &self.fired_s {
            match self.out_s.iter().find(|out_s| *out_s > fired_s) {
                Some(out_s) => stretches.push((*fired_s, *out_s)),
                // Beyond the end of the period: the rest stands at its beginning.
                None => {
                    stretches.push((*fired_s, self.period_s));
                    stretches.extend(self.out_s.first().map(|out_s| (0.0, *out_s)));
                }
            }
        }
        stretches
    }

    fn at_zero(&self, values: &[f64]) -> f64 {
        self.at(values, 0.0)
    }

    fn turned(&self, values: &[f64]) -> Vec<f64> {
        let mut values = values.to_vec();
        values.rotate_left(self.before);
        values
    }
}

/// Root of the mean square.
pub(super) fn rms(values: &[f64]) -> f64 {
    (values.iter().map(|value| value * value).sum::<f64>() / values.len() as f64).sqrt()
}

pub(super) fn branch(point: &OperatingPoint, name: &str) -> Result<BranchId> {
    point.circuit.network().find(name).ok_or_else(|| {
        Error::inconsistent(format!("the circuit has no branch named \"{name}\""))
            .with_hint("this figure shows the inside of a resonant source")
    })
}

fn place(point: &OperatingPoint, name: &str) -> Result<usize> {
    let id = branch(point, name)?;
    let position = point.circuit.network().branch_ids().position(|other| other == id);
    Ok(position.expect("a branch that was found is among the branches"))
}

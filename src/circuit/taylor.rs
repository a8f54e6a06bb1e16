//! One step of the motion as a Taylor series, with its derivative by the start values.
//!
//! The recurrence x_{k+1} = (A x_k + N f_k + S e_k)/(k+1) needs the coefficients of f(λ) only up to
//! the order already known; those of a power come from a chain of squarings and products.

use crate::numeric::series;

use super::topology::{Row, Topology};
use super::{Circuit, Magnet};

/// How the steps are chosen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StepPlan {
    /// Order of the Taylor series.
    pub order: usize,
    /// Error allowed per step, relative to the largest value each state has taken.
    pub tolerance_ratio: f64,
    /// A fixed number of steps per period instead; events still end a step early.
    pub fixed_per_period: Option<usize>,
}

impl Default for StepPlan {
    fn default() -> Self {
        Self { order: 12, tolerance_ratio: 1e-9, fixed_per_period: None }
    }
}

impl StepPlan {
    /// Orders that make sense: below 2 nothing converges, above 40 rounding eats the gain.
    pub const ORDER: crate::error::Bounds =
        crate::error::Bounds::new("order of the Taylor series", "", 2.0, 40.0);

    /// For reference runs: rounding is all that is left.
    #[must_use]
    pub fn fine() -> Self {
        Self { order: 24, tolerance_ratio: 1e-16, fixed_per_period: None }
    }
}

/// The power chain of one iron core: buffers of coefficients and how each is made.
#[derive(Clone, Debug)]
struct Chain {
    products: Vec<(usize, usize)>,
    buffers: Vec<f64>,
    slope: Vec<f64>,
}

/// Coefficients of one step; memory is asked for once, when it is made.
#[derive(Clone, Debug)]
pub(super) struct Series {
    pub(super) order: usize,
    pub(super) unit_s: f64,
    pub(super) columns: usize,
    n: usize,
    cores: usize,
    width: usize,
    omega: f64,
    /// [order][state | core | source]
    w: Vec<f64>,
    /// [order][state | core][column]
    sens: Vec<f64>,
    chains: Vec<Chain>,
    source: Vec<f64>,
}

impl Series {
    pub(super) fn new(circuit: &Circuit, order: usize, unit_s: f64) -> Self {
        let terms = order + 1;
        let chains = circuit
            .cores
            .iter()
            .map(|core| {
                let products = match core.magnet {
                    Magnet::OddPower { exponent, .. } => power_chain(exponent),
                    Magnet::Table { .. } => Vec::new(),
                };
                Chain {
                    buffers: vec![0.0; (products.len() + 1) * terms],
                    slope: vec![0.0; terms],
                    products,
                }
            })
            .collect();
        Self {
            order,
            unit_s,
            columns: 0,
            n: circuit.state_count(),
            cores: circuit.cores.len(),
            width: circuit.width(),
            omega: circuit.network().omega_rad_per_s(),
            w: vec![0.0; terms * circuit.width()],
            sens: Vec::new(),
            chains,
            source: vec![0.0; terms],
        }
    }

    /// Carries that many columns of derivatives from now on; 0 for none.
    pub(super) fn set_columns(&mut self, columns: usize) {
        self.columns = columns;
        self.sens.clear();
        self.sens.resize((self.order + 1) * (self.n + self.cores) * columns, 0.0);
    }

    /// Works out all coefficients for a step that begins at `time_s`.
    pub(super) fn fill(
        &mut self,
        circuit: &Circuit,
        topology: &Topology,
        time_s: f64,
        state: &[f64],
        pieces: &[i32],
    ) {
        let (n, width, terms) = (self.n, self.width, self.order + 1);
        for (at, (_, source)) in circuit.sources.iter().enumerate() {
            source.series(self.omega, time_s, self.unit_s, &mut self.source);
            for k in 0..terms {
                self.w[k * width + n + self.cores + at] = self.source[k];
            }
        }
        self.w[..n].copy_from_slice(state);
        for k in 0..terms {
            for (at, core) in circuit.cores.iter().enumerate() {
                let flux = self.w[k * width + core.state];
                self.w[k * width + n + at] = match &core.magnet {
                    Magnet::OddPower { linear_a, power_a, knee_wb, exponent } => self.chains[at]
                        .odd_power(
                            k,
                            terms,
                            flux / knee_wb,
                            (*linear_a, *power_a),
                            *exponent,
                            *knee_wb,
                        ),
                    table @ Magnet::Table { .. } => {
                        let line = table.segment(pieces[at]);
                        self.chains[at].slope[k] = if k == 0 { line.slope_a_per_wb } else { 0.0 };
                        let offset = if k == 0 {
                            line.current_a - line.slope_a_per_wb * line.flux_wb
                        } else {
                            0.0
                        };
                        offset + line.slope_a_per_wb * flux
                    }
                };
            }
            if k + 1 < terms {
                let factor = self.unit_s / (k + 1) as f64;
                let (known, next) = self.w.split_at_mut((k + 1) * width);
                let w = &known[k * width..];
                for (out, row) in next.iter_mut().zip(&topology.derivative) {
                    *out = factor * combine(row, w);
                }
            }
        }
    }

    /// Works out the coefficients of the derivatives, after [`Self::fill`]; row-major start values.
    pub(super) fn fill_derivatives(
        &mut self,
        circuit: &Circuit,
        topology: &Topology,
        start: &[f64],
    ) {
        let (n, p) = (self.n, self.columns);
        let stride = (n + self.cores) * p;
        self.sens[..n * p].copy_from_slice(start);
        for k in 0..=self.order {
            let (known, next) = self.sens.split_at_mut((k + 1) * stride);
            for (at, core) in circuit.cores.iter().enumerate() {
                let (earlier, here) = known.split_at_mut(k * stride + (n + at) * p);
                let out = &mut here[..p];
                out.fill(0.0);
                for j in 0..=k {
                    let slope = self.chains[at].slope[j];
                    if slope != 0.0 {
                        let from = (k - j) * stride + core.state * p;
                        add_scaled(out, &earlier[from..from + p], slope);
                    }
                }
            }
            if k < self.order {
                let factor = self.unit_s / (k + 1) as f64;
                let here = &known[k * stride..];
                for (state, row) in topology.derivative.iter().enumerate() {
                    let out = &mut next[state * p..(state + 1) * p];
                    out.fill(0.0);
                    for &(column, value) in row {
                        if column < n + self.cores {
                            add_scaled(out, &here[column * p..(column + 1) * p], value * factor);
                        }
                    }
                }
            }
        }
    }

    /// Largest coefficient of an order, each state relative to its scale.
    pub(super) fn size(&self, k: usize, scale: &[f64]) -> f64 {
        let w = &self.w[k * self.width..k * self.width + self.n];
        w.iter()
            .zip(scale)
            .fold(0.0, |m, (c, s)| if *s > 0.0 { f64::max(m, c.abs() / s) } else { m })
    }

    /// Coefficient of one state.
    pub(super) fn state_coefficient(&self, k: usize, state: usize) -> f64 {
        self.w[k * self.width + state]
    }

    /// Coefficients of a combination of states, magnetising currents and sources.
    pub(super) fn combination(&self, row: &Row, out: &mut [f64]) {
        for (c, w) in out.iter_mut().zip(self.w.chunks(self.width)) {
            *c = combine(row, w);
        }
    }

    /// Coefficients of the derivatives of a combination, weighted and summed over the orders.
    pub(super) fn weighted_derivative(&self, row: &Row, weights: &[f64], out: &mut [f64]) {
        let p = self.columns;
        let stride = (self.n + self.cores) * p;
        out.fill(0.0);
        for (k, weight) in weights.iter().enumerate() {
            for &(column, value) in row {
                if column < self.n + self.cores {
                    let from = k * stride + column * p;
                    add_scaled(out, &self.sens[from..from + p], value * weight);
                }
            }
        }
    }

    /// State at τ.
    pub(super) fn state_at(&self, tau: f64, out: &mut [f64]) {
        for (state, x) in out.iter_mut().enumerate() {
            *x = (0..=self.order)
                .rev()
                .fold(0.0, |sum, k| sum * tau + self.w[k * self.width + state]);
        }
    }

    /// Derivatives of the state at τ.
    pub(super) fn derivatives_at(&self, tau: f64, out: &mut [f64]) {
        let stride = (self.n + self.cores) * self.columns;
        let size = self.n * self.columns;
        out.copy_from_slice(&self.sens[self.order * stride..self.order * stride + size]);
        for k in (0..self.order).rev() {
            let c = &self.sens[k * stride..k * stride + size];
            out.iter_mut().zip(c).for_each(|(x, c)| *x = *x * tau + c);
        }
    }
}

impl Chain {
    /// Coefficient `k` of the magnetising current; keeps that of its slope by flux.
    fn odd_power(
        &mut self,
        k: usize,
        terms: usize,
        u: f64,
        (linear_a, power_a): (f64, f64),
        exponent: u32,
        knee_wb: f64,
    ) -> f64 {
        self.buffers[k] = u;
        for (at, &(a, b)) in self.products.iter().enumerate() {
            let (known, out) = self.buffers.split_at_mut((at + 1) * terms);
            out[k] = if a == b {
                series::square_coefficient(&known[a * terms..(a + 1) * terms], k)
            } else {
                let (a, b) = (&known[a * terms..], &known[b * terms..]);
                series::product_coefficient(a, b, k)
            };
        }
        let last = self.products.len();
        let even_power = self.buffers[(last - 1) * terms + k];
        let constant = if k == 0 { linear_a } else { 0.0 };
        self.slope[k] = (constant + power_a * f64::from(exponent) * even_power) / knee_wb;
        linear_a * u + power_a * self.buffers[last * terms + k]
    }
}

/// Products that lead from u to u^n, n odd and at least 3; the last but one is u^(n−1).
fn power_chain(exponent: u32) -> Vec<(usize, usize)> {
    let half = (exponent - 1) / 2;
    let mut products = vec![(0, 0)];
    let mut at = 1;
    for bit in (0..half.ilog2()).rev() {
        products.push((at, at));
        at = products.len();
        if half >> bit & 1 == 1 {
            products.push((at, 1));
            at = products.len();
        }
    }
    products.push((at, 0));
    products
}

#[inline]
pub(super) fn combine(row: &Row, w: &[f64]) -> f64 {
    row.iter().map(|&(column, value)| value * w[column]).sum()
}

#[inline]
fn add_scaled(out: &mut [f64], from: &[f64], factor: f64) {
    out.iter_mut().zip(from).for_each(|(o, f)| *o += factor * f);
}

#[cfg(test)]
mod tests {
    use super::power_chain;

    #[test]
    fn exact_power_chain_reaches_every_odd_exponent() {
        for exponent in (3..42).step_by(2) {
            let mut powers = vec![1_u32];
            for (a, b) in power_chain(exponent) {
                powers.push(powers[a] + powers[b]);
            }
            let last = powers.len() - 1;
            assert_eq!(powers[last], exponent);
            assert_eq!(powers[last - 1], exponent - 1, "the slope needs the even power");
        }
    }
}

use crate::numeric::series;

use super::taylor::combine;
use super::{BranchId, Circuit};

/// The course of a run: one polynomial per state and step, so that it can be read at any time.
#[derive(Clone, Debug, Default)]
pub struct Trajectory {
    pieces: Vec<Piece>,
    coefficients: Vec<f64>,
    order: usize,
    unit_s: f64,
}

#[derive(Clone, Copy, Debug)]
struct Piece {
    start_s: f64,
    end_s: f64,
    switches_on: u32,
}

/// Voltage and current of a branch on a uniform grid.
#[derive(Clone, Debug, PartialEq)]
pub struct BranchTrace {
    /// The branch's name.
    pub name: String,
    /// v(from) − v(to).
    pub voltage_v: Vec<f64>,
    /// Current from → to.
    pub current_a: Vec<f64>,
}

impl Trajectory {
    /// Number of steps.
    #[must_use]
    pub fn steps(&self) -> usize {
        self.pieces.len()
    }

    /// First and last instant; `None` before anything was recorded.
    #[must_use]
    pub fn span_s(&self) -> Option<(f64, f64)> {
        Some((self.pieces.first()?.start_s, self.pieces.last()?.end_s))
    }

    /// When switches opened or closed, and which were on from then.
    #[must_use]
    pub fn switchings(&self) -> Vec<(f64, u32)> {
        self.pieces
            .windows(2)
            .filter(|pair| pair[0].switches_on != pair[1].switches_on)
            .map(|pair| (pair[1].start_s, pair[1].switches_on))
            .collect()
    }

    pub(super) fn clear(&mut self, order: usize, unit_s: f64) {
        self.pieces.clear();
        self.coefficients.clear();
        (self.order, self.unit_s) = (order, unit_s);
    }

    /// Keeps a step; coefficients come state by state within each order.
    pub(super) fn keep(
        &mut self,
        start_s: f64,
        end_s: f64,
        switches_on: u32,
        coefficients: impl Iterator<Item = f64>,
    ) {
        self.pieces.push(Piece { start_s, end_s, switches_on });
        self.coefficients.extend(coefficients);
    }

    /// Calls `take(sample, column values, switches on)` at the times, which must rise.
    fn visit(
        &self,
        circuit: &Circuit,
        times_s: impl Iterator<Item = f64>,
        mut take: impl FnMut(usize, &[f64], u32),
    ) {
        let (n, width) = (circuit.state_count(), circuit.width());
        let per_piece = (self.order + 1) * n;
        let omega = circuit.network().omega_rad_per_s();
        let mut w = vec![0.0; width];
        let mut at = 0;
        for (sample, time_s) in times_s.enumerate() {
            while at + 1 < self.pieces.len() && self.pieces[at].end_s < time_s {
                at += 1;
            }
            let Some(piece) = self.pieces.get(at) else { return };
            let tau = (time_s - piece.start_s) / self.unit_s;
            let c = &self.coefficients[at * per_piece..(at + 1) * per_piece];
            w[..n].copy_from_slice(&c[self.order * n..]);
            for k in (0..self.order).rev() {
                let c = &c[k * n..(k + 1) * n];
                w[..n].iter_mut().zip(c).for_each(|(x, c)| *x = *x * tau + c);
            }
            for (k, core) in circuit.cores.iter().enumerate() {
                w[n + k] = core.magnet.current_a(w[core.state]);
            }
            for (k, (_, source)) in circuit.sources.iter().enumerate() {
                w[n + circuit.cores.len() + k] = source.value(omega, time_s);
            }
            take(sample, &w, piece.switches_on);
        }
    }

    /// Current of a branch at rising times.
    #[must_use]
    pub fn current_a(&self, circuit: &Circuit, branch: BranchId, times_s: &[f64]) -> Vec<f64> {
        if let Some(out) = self.current_of_states(circuit, branch, times_s) {
            return out;
        }
        let mut out = vec![0.0; times_s.len()];
        self.visit(circuit, times_s.iter().copied(), |sample, w, on| {
            if let Ok(topology) = circuit.topology(on) {
                out[sample] = combine(&topology.current[branch.0], w);
            }
        });
        out
    }

    /// The quick way for a current that is a combination of states alone: one polynomial a step.
    fn current_of_states(
        &self,
        circuit: &Circuit,
        branch: BranchId,
        times_s: &[f64],
    ) -> Option<Vec<f64>> {
        let n = circuit.state_count();
        let per_piece = (self.order + 1) * n;
        let mut out = Vec::with_capacity(times_s.len());
        let mut polynomial = vec![0.0; self.order + 1];
        for (at, piece) in self.pieces.iter().enumerate() {
            let row = &circuit.topology(piece.switches_on).ok()?.current[branch.0];
            if row.iter().any(|(column, _)| *column >= n) {
                return None;
            }
            let c = &self.coefficients[at * per_piece..(at + 1) * per_piece];
            for (k, p) in polynomial.iter_mut().enumerate() {
                *p = combine(row, &c[k * n..(k + 1) * n]);
            }
            let last = at + 1 == self.pieces.len();
            let ahead = &times_s[out.len()..];
            let inside = if last {
                ahead.len()
            } else {
                ahead.iter().take_while(|time_s| **time_s <= piece.end_s).count()
            };
            // Eight at a time: one after the other, each would wait for its own multiplications.
            for eight in ahead[..inside].chunks(8) {
                let mut taus = [0.0; 8];
                for (tau, time_s) in taus.iter_mut().zip(eight) {
                    *tau = (time_s - piece.start_s) / self.unit_s;
                }
                out.extend_from_slice(&series::values(&polynomial, taus)[..eight.len()]);
            }
        }
        Some(out)
    }

    /// Voltage and current of every branch at rising times, in the order of the network.
    #[must_use]
    pub fn branches(&self, circuit: &Circuit, times_s: &[f64]) -> Vec<BranchTrace> {
        let all: Vec<BranchId> = circuit.network().branch_ids().collect();
        self.chosen(circuit, &all, times_s)
    }

    /// Voltage and current of some branches at rising times, in the order asked.
    #[must_use]
    pub fn chosen(
        &self,
        circuit: &Circuit,
        branches: &[BranchId],
        times_s: &[f64],
    ) -> Vec<BranchTrace> {
        let mut traces: Vec<BranchTrace> = branches
            .iter()
            .map(|branch| BranchTrace {
                name: circuit.network().get(*branch).name.clone(),
                voltage_v: vec![0.0; times_s.len()],
                current_a: vec![0.0; times_s.len()],
            })
            .collect();
        self.visit(circuit, times_s.iter().copied(), |sample, w, on| {
            if let Ok(topology) = circuit.topology(on) {
                for (branch, trace) in branches.iter().zip(&mut traces) {
                    trace.voltage_v[sample] = combine(&topology.voltage[branch.0], w);
                    trace.current_a[sample] = combine(&topology.current[branch.0], w);
                }
            }
        });
        traces
    }

    /// The states at rising times, one list per state.
    #[must_use]
    pub fn states(&self, circuit: &Circuit, times_s: &[f64]) -> Vec<Vec<f64>> {
        let n = circuit.state_count();
        let mut out = vec![vec![0.0; times_s.len()]; n];
        self.visit(circuit, times_s.iter().copied(), |sample, w, _| {
            for state in 0..n {
                out[state][sample] = w[state];
            }
        });
        out
    }

    /// Middle and half-width of every step, for integrals that shall not smear an event.
    #[must_use]
    pub fn cells_s(&self) -> Vec<(f64, f64)> {
        self.pieces
            .iter()
            .map(|p| (0.5 * (p.start_s + p.end_s), 0.5 * (p.end_s - p.start_s)))
            .collect()
    }
}

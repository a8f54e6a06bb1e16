//! The matrices of a network for one combination of open and closed switches.
//!
//! With capacitor voltages, inductor currents, magnetising currents and sources given, what is left
//! is a resistive network. It is solved once for each of these inputs alone; every branch voltage
//! and current, and every derivative, is then a fixed combination of them.
//!
//! Where an open switch leaves a part of the network hanging on inductors alone, the sum of their
//! currents is constrained to zero: the part's node equation, which has become redundant, is
//! replaced by the derivative of that constraint. A part that hangs on open switches alone takes
//! the potential that equal leakage through them would give it.

use crate::numeric::Lu;

use super::check::{Sets, place};
use super::{BranchId, Circuit, Element};

mod hanging;

/// A combination of inputs: (column, factor) of the nonzero ones.
pub(super) type Row = Vec<(usize, f64)>;

#[derive(Clone, Debug)]
pub(super) struct Topology {
    /// dx/dt per state.
    pub(super) derivative: Vec<Row>,
    /// Voltage per branch.
    pub(super) voltage: Vec<Row>,
    /// Current per branch.
    pub(super) current: Vec<Row>,
    /// Takes a state to the nearest one that obeys the constraints; row-major, `None` when there
    /// are none.
    pub(super) projection: Option<Vec<f64>>,
}

/// Bookkeeping while one combination of switches is worked out.
struct Assembly<'a> {
    circuit: &'a Circuit,
    inverse_per_h: &'a [f64],
    on: u32,
    nodes: usize,
    /// Row of the current unknown per branch, for branches that fix a voltage.
    current_row: Vec<Option<usize>>,
    size: usize,
    matrix: Vec<f64>,
    inputs: Vec<f64>,
    /// Constraint rows over the states: Σ K x = 0.
    constraints: Vec<Vec<f64>>,
}

pub(super) fn extract(
    circuit: &Circuit,
    inverse_per_h: &[f64],
    on: u32,
) -> Result<Topology, String> {
    let mut assembly = Assembly::new(circuit, inverse_per_h, on)?;
    assembly.stamp();
    assembly.replace_hanging_rows()?;
    assembly.solve()
}

impl<'a> Assembly<'a> {
    fn new(circuit: &'a Circuit, inverse_per_h: &'a [f64], on: u32) -> Result<Self, String> {
        let network = circuit.network();
        let nodes = network.nodes().len();
        let mut size = nodes - 1;
        let mut fixed = Sets::new(nodes);
        let mut current_row = vec![None; network.branches().len()];
        for id in network.branch_ids() {
            let branch = network.get(id);
            let closed = circuit.switch_of(id).is_some_and(|at| on >> at & 1 == 1);
            let fixes = closed
                || matches!(
                    branch.element,
                    Element::Capacitor { .. }
                        | Element::VoltageSource(_)
                        | Element::IdealPrimary { .. }
                );
            if fixes {
                current_row[id.0] = Some(size);
                size += 1;
            }
            let stiff = fixes && !matches!(branch.element, Element::IdealPrimary { .. });
            if stiff && !fixed.join(branch.from.0, branch.to.0) {
                return Err(format!(
                    "{} short-circuits voltage sources or capacitors with closed switches",
                    place(branch)
                ));
            }
        }
        let width = circuit.width();
        Ok(Self {
            circuit,
            inverse_per_h,
            on,
            nodes,
            current_row,
            size,
            matrix: vec![0.0; size * size],
            inputs: vec![0.0; size * width],
            constraints: Vec::new(),
        })
    }

    fn closed(&self, id: BranchId) -> Option<bool> {
        self.circuit.switch_of(id).map(|at| self.on >> at & 1 == 1)
    }

    /// Adds to the coefficient of a node's potential; the ground has none.
    fn add(&mut self, row: usize, node: usize, value: f64) {
        if node > 0 {
            self.matrix[row * self.size + node - 1] += value;
        }
    }

    /// Adds a branch's voltage to an equation.
    fn add_voltage(&mut self, row: usize, id: BranchId, factor: f64) {
        let branch = self.circuit.network().get(id);
        let (from, to) = (branch.from.0, branch.to.0);
        self.add(row, from, factor);
        self.add(row, to, -factor);
    }

    /// Adds a current unknown, or an input column, to the node equations of a branch.
    fn leave_and_enter(&mut self, id: BranchId, unknown: usize, factor: f64) {
        let branch = self.circuit.network().get(id);
        for (node, sign) in [(branch.from.0, factor), (branch.to.0, -factor)] {
            if node > 0 {
                self.matrix[(node - 1) * self.size + unknown] += sign;
            }
        }
    }

    fn inject(&mut self, id: BranchId, column: usize) {
        let branch = self.circuit.network().get(id);
        let width = self.circuit.width();
        for (node, sign) in [(branch.from.0, -1.0), (branch.to.0, 1.0)] {
            if node > 0 {
                self.inputs[(node - 1) * width + column] += sign;
            }
        }
    }

    fn conduct(&mut self, id: BranchId, resistance_ohm: f64) {
        let branch = self.circuit.network().get(id);
        for (node, sign) in [(branch.from.0, 1.0), (branch.to.0, -1.0)] {
            if node > 0 {
                self.add_voltage(node - 1, id, sign / resistance_ohm);
            }
        }
    }

    fn stamp(&mut self) {
        let circuit = self.circuit;
        let network = circuit.network();
        let width = circuit.width();
        let n = circuit.state_count();
        let source_column = |id: BranchId| {
            let at = circuit.sources.iter().position(|(known, _)| *known == id);
            n + circuit.cores.len() + at.expect("every source branch is listed")
        };
        for id in network.branch_ids() {
            if let Some(row) = self.current_row[id.0] {
                self.leave_and_enter(id, row, 1.0);
                self.add_voltage(row, id, 1.0);
            }
            match &network.get(id).element {
                Element::Resistor { resistance_ohm } => self.conduct(id, *resistance_ohm),
                Element::Inductor { .. } => {
                    let state = circuit.state_of(id).expect("an inductor has a state");
                    self.inject(id, state);
                }
                Element::Capacitor { .. } => {
                    let row = self.current_row[id.0].expect("a capacitor fixes a voltage");
                    let state = circuit.state_of(id).expect("a capacitor has a state");
                    self.inputs[row * width + state] = 1.0;
                }
                Element::SaturatingInductor { core_loss_ohm, .. } => {
                    let core = circuit.cores.iter().position(|core| core.branch == id);
                    self.inject(id, n + core.expect("every iron core is listed"));
                    if let Some(resistance_ohm) = core_loss_ohm {
                        self.conduct(id, *resistance_ohm);
                    }
                }
                Element::VoltageSource(_) => {
                    let row = self.current_row[id.0].expect("a voltage source fixes a voltage");
                    self.inputs[row * width + source_column(id)] = 1.0;
                }
                Element::CurrentSource(_) => self.inject(id, source_column(id)),
                Element::IdealSecondary { primary } => {
                    let row = self.current_row[primary.0].expect("a primary fixes a voltage");
                    let Element::IdealPrimary { turns_ratio } = network.get(*primary).element
                    else {
                        continue;
                    };
                    self.add_voltage(row, id, -turns_ratio);
                    self.leave_and_enter(id, row, -turns_ratio);
                }
                Element::IdealPrimary { .. }
                | Element::Diode
                | Element::Thyristor(_)
                | Element::Triac(_) => {}
            }
        }
    }

    fn solve(self) -> Result<Topology, String> {
        let circuit = self.circuit;
        let network = circuit.network();
        let (n, width, size) = (circuit.state_count(), circuit.width(), self.size);
        let lu = Lu::factor(size, self.matrix.clone()).map_err(|error| self.unsolvable(&error))?;
        let mut solution = vec![0.0; size * width];
        let mut column = vec![0.0; size];
        for input in 0..width {
            for (row, value) in column.iter_mut().enumerate() {
                *value = self.inputs[row * width + input];
            }
            lu.solve_in_place(&mut column);
            for (row, value) in column.iter().enumerate() {
                solution[row * width + input] = *value;
            }
        }
        let unknown = |row: usize| solution[row * width..(row + 1) * width].to_vec();
        let potential = |node: usize| if node == 0 { vec![0.0; width] } else { unknown(node - 1) };
        let input = |at: usize| (0..width).map(|k| if k == at { 1.0 } else { 0.0 }).collect();
        let mut voltage: Vec<Vec<f64>> = Vec::new();
        let mut current: Vec<Vec<f64>> = Vec::new();
        for id in network.branch_ids() {
            let branch = network.get(id);
            let (p, q) = (potential(branch.from.0), potential(branch.to.0));
            let v: Vec<f64> = p.iter().zip(&q).map(|(p, q)| p - q).collect();
            let i: Vec<f64> = match (&branch.element, self.current_row[id.0]) {
                (_, Some(row)) => unknown(row),
                (Element::Resistor { resistance_ohm }, _) => {
                    v.iter().map(|v| v / resistance_ohm).collect()
                }
                (Element::Inductor { .. }, _) => {
                    input(circuit.state_of(id).expect("an inductor has a state"))
                }
                (Element::SaturatingInductor { core_loss_ohm, .. }, _) => {
                    let core = circuit.cores.iter().position(|core| core.branch == id);
                    let mut i: Vec<f64> = input(n + core.expect("every iron core is listed"));
                    if let Some(resistance_ohm) = core_loss_ohm {
                        i.iter_mut().zip(&v).for_each(|(i, v)| *i += v / resistance_ohm);
                    }
                    i
                }
                (Element::CurrentSource(_), _) => {
                    let at = circuit.sources.iter().position(|(known, _)| *known == id);
                    input(n + circuit.cores.len() + at.expect("every source is listed"))
                }
                (Element::IdealSecondary { primary }, _) => {
                    let row = self.current_row[primary.0].expect("a primary fixes a voltage");
                    let Element::IdealPrimary { turns_ratio } = network.get(*primary).element
                    else {
                        unreachable!("checked: a secondary names a primary")
                    };
                    unknown(row).iter().map(|i| -turns_ratio * i).collect()
                }
                _ => vec![0.0; width],
            };
            voltage.push(v);
            current.push(i);
        }
        let resistances = network.branches().iter().filter_map(|branch| match branch.element {
            Element::Resistor { resistance_ohm } => Some(resistance_ohm),
            Element::SaturatingInductor { core_loss_ohm, .. } => core_loss_ohm,
            _ => None,
        });
        let largest_siemens = resistances.fold(0.0_f64, |most, ohm| most.max(1.0 / ohm));
        for column in 0..width {
            let top_v = clean(&mut voltage, column, 0.0);
            // Where no current flows at all, rounding is measured by what the voltages could drive.
            clean(&mut current, column, 0.1 * largest_siemens * top_v);
        }
        let derivative = (0..n).map(|state| self.derivative(state, &voltage, &current)).collect();
        Ok(Topology {
            derivative,
            voltage: voltage.iter().map(|row| sparse(row)).collect(),
            current: current.iter().map(|row| sparse(row)).collect(),
            projection: self.projection()?,
        })
    }

    fn derivative(&self, state: usize, voltage: &[Vec<f64>], current: &[Vec<f64>]) -> Row {
        let circuit = self.circuit;
        let id = circuit.state_branch(state);
        match circuit.network().get(id).element {
            Element::Capacitor { capacitance_f } => {
                sparse(&current[id.0].iter().map(|i| i / capacitance_f).collect::<Vec<_>>())
            }
            Element::Inductor { .. } => {
                let n = circuit.state_count();
                let mut row = vec![0.0; circuit.width()];
                for other in 0..n {
                    let factor = self.inverse_per_h[state * n + other];
                    if factor != 0.0 {
                        let v = &voltage[circuit.state_branch(other).0];
                        row.iter_mut().zip(v).for_each(|(sum, v)| *sum += factor * v);
                    }
                }
                sparse(&row)
            }
            _ => sparse(&voltage[id.0]),
        }
    }

    fn unsolvable(&self, error: &crate::error::Error) -> String {
        let network = self.circuit.network();
        let closed: Vec<&str> = network
            .branch_ids()
            .filter(|id| self.closed(*id) == Some(true))
            .map(|id| network.get(id).name.as_str())
            .collect();
        let which = if closed.is_empty() {
            String::new()
        } else {
            format!(" with {} closed", closed.join(", "))
        };
        format!("the network's equations{which} have no unique solution ({error})")
    }
}

/// Sets to zero what is zero but for rounding in one input's column over all branches: a branch
/// without a path for its current must carry none, not 1e-17 of a neighbour's. Returns the largest.
fn clean(rows: &mut [Vec<f64>], column: usize, at_least: f64) -> f64 {
    let top = rows.iter().fold(0.0_f64, |m, row| m.max(row[column].abs()));
    for row in rows.iter_mut() {
        if row[column].abs() <= 1e-14 * top.max(at_least) {
            row[column] = 0.0;
        }
    }
    top
}

fn sparse(row: &[f64]) -> Row {
    row.iter().enumerate().filter(|(_, v)| **v != 0.0).map(|(k, v)| (k, *v)).collect()
}

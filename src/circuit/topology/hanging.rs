//! Parts of a network that hang on inductors or on open switches alone.

use crate::circuit::BranchId;
use crate::circuit::Element;
use crate::circuit::check::{Sets, place};
use crate::numeric::Lu;

use super::Assembly;

impl Assembly<'_> {
    /// Parts that hang together by elements that leave the current free.
    fn parts(&self) -> (Sets, Sets) {
        let network = self.circuit.network();
        let mut parts = Sets::new(self.nodes);
        let mut groups = Sets::new(self.nodes);
        for id in network.branch_ids() {
            let branch = network.get(id);
            let (from, to) = (branch.from.0, branch.to.0);
            match branch.element {
                Element::CurrentSource(_) => {}
                Element::Inductor { .. }
                | Element::SaturatingInductor { core_loss_ohm: None, .. } => {
                    groups.join(from, to);
                }
                _ if self.closed(id) == Some(false) => {}
                _ => {
                    parts.join(from, to);
                    groups.join(from, to);
                }
            }
        }
        (parts, groups)
    }

    pub(super) fn replace_hanging_rows(&mut self) -> Result<(), String> {
        let (mut parts, mut groups) = self.parts();
        for node in 1..self.nodes {
            if parts.root(node) != node {
                continue;
            }
            let leaks = groups.root(node) == node;
            let row = node - 1;
            self.matrix[row * self.size..(row + 1) * self.size].fill(0.0);
            let width = self.circuit.width();
            self.inputs[row * width..(row + 1) * width].fill(0.0);
            if leaks {
                self.balance_leakage(row, node, &mut groups)?;
            } else {
                self.constrain_inductors(row, node, &mut parts)?;
            }
        }
        Ok(())
    }

    /// +1 when a branch leaves the set with that root, −1 when it enters, 0 otherwise.
    fn direction(&self, id: BranchId, root: usize, sets: &mut Sets) -> f64 {
        let branch = self.circuit.network().get(id);
        let (from, to) = (sets.root(branch.from.0) == root, sets.root(branch.to.0) == root);
        match (from, to) {
            (true, false) => 1.0,
            (false, true) => -1.0,
            _ => 0.0,
        }
    }

    fn balance_leakage(
        &mut self,
        row: usize,
        root: usize,
        groups: &mut Sets,
    ) -> Result<(), String> {
        for id in self.circuit.network().branch_ids() {
            let direction = self.direction(id, root, groups);
            if direction == 0.0 {
                continue;
            }
            let branch = self.circuit.network().get(id);
            if matches!(branch.element, Element::CurrentSource(_)) {
                return Err(format!("{} feeds a part behind open switches", place(branch)));
            }
            self.add_voltage(row, id, direction);
        }
        Ok(())
    }

    fn constrain_inductors(
        &mut self,
        row: usize,
        root: usize,
        parts: &mut Sets,
    ) -> Result<(), String> {
        let circuit = self.circuit;
        let n = circuit.state_count();
        let mut constraint = vec![0.0; n];
        let mut crossing = 0;
        let mut core = None;
        for id in circuit.network().branch_ids() {
            let direction = self.direction(id, root, parts);
            if direction == 0.0 {
                continue;
            }
            let branch = circuit.network().get(id);
            match branch.element {
                Element::CurrentSource(_) => {
                    return Err(format!("{} feeds a part behind open switches", place(branch)));
                }
                Element::Inductor { .. } => {
                    constraint[circuit.state_of(id).expect("an inductor has a state")] = direction;
                    crossing += 1;
                }
                Element::SaturatingInductor { .. } => {
                    core = Some(id);
                    crossing += 1;
                }
                _ => {}
            }
        }
        if let Some(id) = core {
            if crossing > 1 {
                return Err(format!(
                    "{} lies in a cut set of inductors behind an open switch; give its core a loss \
                     resistance",
                    place(circuit.network().get(id))
                ));
            }
            self.add_voltage(row, id, 1.0);
            constraint[circuit.state_of(id).expect("an iron core has a state")] = 1.0;
        } else {
            for state in 0..n {
                let factor: f64 = (0..n)
                    .map(|other| constraint[other] * self.inverse_per_h[other * n + state])
                    .sum();
                if factor != 0.0 {
                    self.add_voltage(row, circuit.state_branch(state), factor);
                }
            }
        }
        self.constraints.push(constraint);
        Ok(())
    }

    /// 1 − L⁻¹Kᵀ(K L⁻¹ Kᵀ)⁻¹K: the nearest state in the sense of energy.
    pub(super) fn projection(&self) -> Result<Option<Vec<f64>>, String> {
        let m = self.constraints.len();
        if m == 0 {
            return Ok(None);
        }
        let n = self.circuit.state_count();
        let weight = |row: usize, column: usize| {
            let linear = self.inverse_per_h[row * n + row] != 0.0;
            if linear { self.inverse_per_h[row * n + column] } else { f64::from(row == column) }
        };
        // L⁻¹Kᵀ, n × m
        let spread: Vec<f64> = (0..n)
            .flat_map(|row| {
                self.constraints
                    .iter()
                    .map(move |k| (0..n).map(|c| weight(row, c) * k[c]).sum::<f64>())
            })
            .collect();
        let gram: Vec<f64> = (0..m)
            .flat_map(|a| {
                let spread = &spread;
                (0..m).map(move |b| {
                    (0..n).map(|c| self.constraints[a][c] * spread[c * m + b]).sum::<f64>()
                })
            })
            .collect();
        let lu = Lu::factor(m, gram).map_err(|error| self.unsolvable(&error))?;
        let mut projection = vec![0.0; n * n];
        for column in 0..n {
            let mut k: Vec<f64> = self.constraints.iter().map(|row| row[column]).collect();
            lu.solve_in_place(&mut k);
            for row in 0..n {
                let drop: f64 = (0..m).map(|a| spread[row * m + a] * k[a]).sum();
                let value = f64::from(row == column) - drop;
                // A current that must be zero shall be zero, not rounding noise.
                projection[row * n + column] = if value.abs() < 1e-13 { 0.0 } else { value };
            }
        }
        Ok(Some(projection))
    }
}

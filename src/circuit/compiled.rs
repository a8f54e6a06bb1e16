use crate::error::{Error, Result};
use crate::numeric::Lu;

use super::topology::{self, Topology};
use super::{BranchId, Element, GateReference, Magnet, Network, Source};

/// A network checked and turned into matrices, ready to be run or solved.
///
/// One set of matrices is made for each combination of open and closed switches, so that nothing
/// is factored, and no memory asked for, while time runs.
#[derive(Clone, Debug)]
pub struct Circuit {
    network: Network,
    pub(super) states: Vec<BranchId>,
    pub(super) cores: Vec<Core>,
    pub(super) sources: Vec<(BranchId, Source)>,
    pub(super) switches: Vec<BranchId>,
    /// Branches whose voltage a gate watches.
    pub(super) watched: Vec<BranchId>,
    topologies: Vec<std::result::Result<Topology, String>>,
}

/// A saturating inductor of the network and the state that holds its flux.
#[derive(Clone, Debug)]
pub(super) struct Core {
    pub(super) branch: BranchId,
    pub(super) state: usize,
    pub(super) magnet: Magnet,
}

impl Circuit {
    /// Switches a network may have: matrices are kept for every combination.
    pub const SWITCHES: usize = 8;

    /// Checks a network and prepares it.
    ///
    /// # Errors
    /// As [`Network::check`]; `Inconsistent` for too many switches, for windings whose couplings
    /// contradict each other, and for a network whose equations have no unique solution.
    pub fn new(network: &Network) -> Result<Self> {
        network.check()?;
        let mut circuit = Self {
            network: network.clone(),
            states: Vec::new(),
            cores: Vec::new(),
            sources: Vec::new(),
            switches: Vec::new(),
            watched: Vec::new(),
            topologies: Vec::new(),
        };
        for id in network.branch_ids() {
            circuit.sort_in(id);
        }
        if circuit.switches.len() > Self::SWITCHES {
            return Err(Error::inconsistent(format!(
                "the network has {} switches, allowed are {}",
                circuit.switches.len(),
                Self::SWITCHES
            ))
            .with_hint("take one triac for a pair of thyristors back to back"));
        }
        let inverse_per_h = circuit.inverse_inductance()?;
        let combinations = 1_usize << circuit.switches.len();
        circuit.topologies = (0..combinations)
            .map(|on| topology::extract(&circuit, &inverse_per_h, on as u32))
            .collect();
        if circuit.switches.is_empty() {
            circuit.topology(0)?;
        }
        Ok(circuit)
    }

    fn sort_in(&mut self, id: BranchId) {
        let branch = self.network.get(id).clone();
        match &branch.element {
            Element::Capacitor { .. } | Element::Inductor { .. } => self.states.push(id),
            Element::SaturatingInductor { magnet, .. } => {
                self.cores.push(Core {
                    branch: id,
                    state: self.states.len(),
                    magnet: magnet.clone(),
                });
                self.states.push(id);
            }
            Element::VoltageSource(source) | Element::CurrentSource(source) => {
                self.sources.push((id, source.clone()));
            }
            element if element.is_switch() => self.switches.push(id),
            _ => {}
        }
        if let Some(rule) = branch.element.gate()
            && let GateReference::BranchVoltage(watched) = rule.reference
            && !self.watched.contains(&watched)
        {
            self.watched.push(watched);
        }
    }

    /// Inverse of the inductance matrix over all states; zero outside the linear inductors.
    fn inverse_inductance(&self) -> Result<Vec<f64>> {
        let n = self.states.len();
        let mut matrix_h = vec![0.0; n * n];
        let self_h = |id: BranchId| match self.network.get(id).element {
            Element::Inductor { inductance_h } => Some(inductance_h),
            _ => None,
        };
        let mut linear = vec![false; n];
        for (at, id) in self.states.iter().enumerate() {
            linear[at] = self_h(*id).is_some();
            matrix_h[at * n + at] = self_h(*id).unwrap_or(1.0);
        }
        for &(first, second, ratio) in self.network.couplings() {
            let at = |id: BranchId| self.states.iter().position(|state| *state == id);
            let (Some(p), Some(q), Some(lp), Some(lq)) =
                (at(first), at(second), self_h(first), self_h(second))
            else {
                continue;
            };
            let mutual_h = ratio * (lp * lq).sqrt();
            matrix_h[p * n + q] += mutual_h;
            matrix_h[q * n + p] += mutual_h;
        }
        if nalgebra::DMatrix::from_row_slice(n, n, &matrix_h).cholesky().is_none() {
            return Err(Error::inconsistent(
                "the coupled windings contradict each other: they could give energy away",
            )
            .with_hint("lower the coupling of the windings that share a core"));
        }
        let lu = Lu::factor(n, matrix_h)?;
        let mut inverse = vec![0.0; n * n];
        for column in (0..n).filter(|column| linear[*column]) {
            let mut unit = vec![0.0; n];
            unit[column] = 1.0;
            lu.solve_in_place(&mut unit);
            for row in (0..n).filter(|row| linear[*row]) {
                inverse[row * n + column] = unit[row];
            }
        }
        Ok(inverse)
    }

    /// The network this was made from.
    #[must_use]
    pub fn network(&self) -> &Network {
        &self.network
    }

    /// Number of states: capacitor voltages, inductor currents, flux linkages.
    #[must_use]
    pub fn state_count(&self) -> usize {
        self.states.len()
    }

    /// The branch whose capacitor voltage, inductor current or flux linkage a state is.
    #[must_use]
    pub fn state_branch(&self, state: usize) -> BranchId {
        self.states[state]
    }

    /// Place of a branch among the states; `None` for a branch without a state.
    #[must_use]
    pub fn state_of(&self, branch: BranchId) -> Option<usize> {
        self.states.iter().position(|known| *known == branch)
    }

    /// Place of a branch among the switches; `None` for other elements.
    #[must_use]
    pub fn switch_of(&self, branch: BranchId) -> Option<usize> {
        self.switches.iter().position(|known| *known == branch)
    }

    /// What a state is, in words.
    #[must_use]
    pub fn state_name(&self, state: usize) -> String {
        let branch = self.network.get(self.states[state]);
        let what = match branch.element {
            Element::Capacitor { .. } => "voltage",
            Element::Inductor { .. } => "current",
            _ => "flux linkage",
        };
        format!("{what} of \"{}\"", branch.name)
    }

    /// Columns of the matrices: states, magnetising currents, sources.
    pub(super) fn width(&self) -> usize {
        self.states.len() + self.cores.len() + self.sources.len()
    }

    pub(super) fn topology(&self, switches_on: u32) -> Result<&Topology> {
        self.topologies[switches_on as usize]
            .as_ref()
            .map_err(|what| Error::inconsistent(what.clone()))
    }
}

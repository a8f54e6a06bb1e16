//! What can be told to be wrong before solving. Every message names the element or the node.

use crate::error::{Bounds, Error, Result};

use super::{Branch, BranchId, Element, GateReference, GateRule, Network};

const RESISTANCE_OHM: Bounds = Bounds::new("resistance", "ohm", 1e-9, 1e12);
const INDUCTANCE_H: Bounds = Bounds::new("inductance", "H", 1e-12, 1e6);
const CAPACITANCE_F: Bounds = Bounds::new("capacitance", "F", 1e-15, 1e3);
const TURNS: Bounds = Bounds::new("turns ratio", "", 1e-6, 1e6);
const COUPLING: Bounds = Bounds::new("coupling of two windings", "", -0.999_999, 0.999_999);

/// Sets of things that hang together.
pub(super) struct Sets(Vec<usize>);

impl Sets {
    pub(super) fn new(count: usize) -> Self {
        Self((0..count).collect())
    }

    pub(super) fn root(&mut self, mut at: usize) -> usize {
        while self.0[at] != at {
            self.0[at] = self.0[self.0[at]];
            at = self.0[at];
        }
        at
    }

    /// Joins two sets; false when they were one already. The lowest member stays the root.
    pub(super) fn join(&mut self, a: usize, b: usize) -> bool {
        let (a, b) = (self.root(a), self.root(b));
        self.0[a.max(b)] = a.min(b);
        a != b
    }
}

pub(super) fn check(network: &Network) -> Result<()> {
    Network::FREQUENCY_HZ.check(network.frequency_hz())?;
    check_names(network)?;
    for (at, branch) in network.branches().iter().enumerate() {
        check_value(network, branch)
            .map_err(|error| error.with_context(place(branch)))
            .and_then(|()| check_links(network, BranchId(at)))?;
    }
    for &(first, second, ratio) in network.couplings() {
        for id in [first, second] {
            let branch = network.get(id);
            if !matches!(branch.element, Element::Inductor { .. }) {
                return Err(Error::inconsistent(format!(
                    "{} is coupled, but it is no linear inductor",
                    place(branch)
                )));
            }
        }
        let pair = format!("{} and {}", place(network.get(first)), network.get(second).name);
        if first == second {
            return Err(Error::inconsistent(format!("{} is coupled to itself", pair)));
        }
        COUPLING.check(ratio).map_err(|error| error.with_context(pair))?;
    }
    check_nodes(network)?;
    check_source_loops(network)?;
    check_cut_sets(network)
}

/// The branch in words: kind and name.
pub(super) fn place(branch: &Branch) -> String {
    format!("{} \"{}\"", branch.element.words(), branch.name)
}

fn check_names(network: &Network) -> Result<()> {
    if network.branches().is_empty() {
        return Err(Error::inconsistent("the network has no branches"));
    }
    let mut names: Vec<&str> = network.branches().iter().map(|b| b.name.as_str()).collect();
    names.sort_unstable();
    if let Some(pair) = names.windows(2).find(|pair| pair[0] == pair[1]) {
        return Err(Error::inconsistent(format!("two branches have the name \"{}\"", pair[0])));
    }
    Ok(())
}

fn check_value(network: &Network, branch: &Branch) -> Result<()> {
    if branch.from == branch.to {
        return Err(Error::inconsistent(format!(
            "both ends are at node \"{}\"",
            network.node_name(branch.from)
        )));
    }
    match &branch.element {
        Element::Resistor { resistance_ohm } => RESISTANCE_OHM.check(*resistance_ohm).map(drop),
        Element::Inductor { inductance_h } => INDUCTANCE_H.check(*inductance_h).map(drop),
        Element::Capacitor { capacitance_f } => CAPACITANCE_F.check(*capacitance_f).map(drop),
        Element::SaturatingInductor { magnet, core_loss_ohm } => {
            if let Some(resistance_ohm) = core_loss_ohm {
                RESISTANCE_OHM.check(*resistance_ohm)?;
            }
            magnet.check()
        }
        Element::IdealPrimary { turns_ratio } => TURNS.check(*turns_ratio).map(drop),
        Element::VoltageSource(source) | Element::CurrentSource(source) => source.check(),
        Element::Thyristor(rule) | Element::Triac(rule) => {
            GateRule::DELAY_RAD.check(rule.delay_rad).map(drop)
        }
        Element::IdealSecondary { .. } | Element::Diode => Ok(()),
    }
}

fn check_links(network: &Network, id: BranchId) -> Result<()> {
    let branch = network.get(id);
    if let Some(GateRule { reference: GateReference::BranchVoltage(watched), .. }) =
        branch.element.gate()
        && watched.0 >= network.branches().len()
    {
        return Err(Error::inconsistent(format!(
            "{} watches a branch that does not exist",
            place(branch)
        )));
    }
    let partners = |primary: BranchId| {
        network
            .branches()
            .iter()
            .filter(|other| other.element == Element::IdealSecondary { primary })
            .count()
    };
    match branch.element {
        Element::IdealSecondary { primary } => {
            let known = network.branches().get(primary.0).map(|other| &other.element);
            if !matches!(known, Some(Element::IdealPrimary { .. })) {
                return Err(Error::inconsistent(format!("{} has no primary", place(branch))));
            }
        }
        Element::IdealPrimary { .. } if partners(id) != 1 => {
            return Err(Error::inconsistent(format!(
                "{} has {} secondaries, it needs one",
                place(branch),
                partners(id)
            )));
        }
        _ => {}
    }
    Ok(())
}

fn check_nodes(network: &Network) -> Result<()> {
    let count = network.nodes().len();
    let mut ends = vec![0_usize; count];
    let mut last = vec![None; count];
    let mut sets = Sets::new(count);
    for branch in network.branches() {
        for node in [branch.from, branch.to] {
            ends[node.0] += 1;
            last[node.0] = Some(branch);
        }
        sets.join(branch.from.0, branch.to.0);
    }
    if ends[0] == 0 {
        return Err(Error::inconsistent("the network has no ground: no branch ends there")
            .with_hint("connect one node to the ground node"));
    }
    for node in 1..count {
        let name = &network.nodes()[node];
        match (ends[node], last[node]) {
            (0, _) => {
                return Err(Error::inconsistent(format!("node \"{name}\" has no branch")));
            }
            (1, Some(branch)) => {
                return Err(Error::inconsistent(format!(
                    "node \"{name}\" dangles: only {} ends there",
                    place(branch)
                )));
            }
            _ => {}
        }
    }
    for node in 1..count {
        if sets.root(node) != 0 {
            return Err(Error::inconsistent(format!(
                "node \"{}\" has no path to ground",
                network.nodes()[node]
            ))
            .with_hint(
                "ground one node of that part; an ideal transformer does not connect its sides",
            ));
        }
    }
    Ok(())
}

fn check_source_loops(network: &Network) -> Result<()> {
    let mut sets = Sets::new(network.nodes().len());
    for branch in network.branches() {
        let fixes_voltage =
            matches!(branch.element, Element::VoltageSource(_) | Element::Capacitor { .. });
        if fixes_voltage && !sets.join(branch.from.0, branch.to.0) {
            return Err(Error::inconsistent(format!(
                "{} closes a loop of voltage sources and capacitors",
                place(branch)
            ))
            .with_hint("put a resistance in series, or merge capacitors in parallel"));
        }
    }
    Ok(())
}

/// Nodes that only current sources and iron cores without loss feed: their voltage is undefined.
/// Linear inductors in series are no trouble: the formulation keeps their currents equal.
fn check_cut_sets(network: &Network) -> Result<()> {
    let mut sets = Sets::new(network.nodes().len());
    for branch in network.branches() {
        let fixes_current = matches!(
            branch.element,
            Element::CurrentSource(_)
                | Element::Inductor { .. }
                | Element::SaturatingInductor { core_loss_ohm: None, .. }
        );
        if !fixes_current {
            sets.join(branch.from.0, branch.to.0);
        }
    }
    for branch in network.branches() {
        let across = sets.root(branch.from.0) != sets.root(branch.to.0);
        let hint = "put a resistance in parallel with it";
        match branch.element {
            Element::CurrentSource(_) if across => {
                return Err(Error::inconsistent(format!(
                    "{} lies in a cut set of inductors and current sources",
                    place(branch)
                ))
                .with_hint(hint));
            }
            Element::SaturatingInductor { .. } if across => {
                return Err(Error::inconsistent(format!(
                    "{} lies in a cut set of inductors",
                    place(branch)
                ))
                .with_hint("give the core a loss resistance"));
            }
            _ => {}
        }
    }
    Ok(())
}

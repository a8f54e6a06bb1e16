use crate::error::{Bounds, Result};

use super::{Element, check};

/// A node of a network.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct NodeId(pub(super) usize);

/// A branch of a network.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct BranchId(pub(super) usize);

/// One element between two nodes.
#[derive(Clone, Debug, PartialEq)]
pub struct Branch {
    /// Name used in messages, tables and plots.
    pub name: String,
    /// Where the branch's current enters.
    pub from: NodeId,
    /// Where it leaves.
    pub to: NodeId,
    /// What is in the branch.
    pub element: Element,
}

/// A network as plain data: named nodes, named branches, couplings, one mains frequency.
///
/// Building never fails; everything is checked at once by [`Network::check`], which every solver
/// calls first, so that a description file can be read completely before it is judged.
///
/// # Example
/// ```
/// use loopcrest::circuit::{Element, Network, Source};
/// let mut network = Network::new(60.0);
/// let bus = network.node("bus");
/// let ground = network.ground();
/// network.branch("supply", bus, ground, Element::VoltageSource(Source::sine(170.0, 0.0)));
/// network.branch("load", bus, ground, Element::Resistor { resistance_ohm: 10.0 });
/// assert!(network.check().is_ok());
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Network {
    frequency_hz: f64,
    nodes: Vec<String>,
    branches: Vec<Branch>,
    couplings: Vec<(BranchId, BranchId, f64)>,
}

impl Network {
    /// Mains frequency: beyond the mains of ships and aircraft nothing is left to model.
    pub const FREQUENCY_HZ: Bounds = Bounds::new("mains frequency", "Hz", 1e-3, 1e5);

    /// A network with nothing but its ground node.
    #[must_use]
    pub fn new(frequency_hz: f64) -> Self {
        Self {
            frequency_hz,
            nodes: vec!["ground".to_owned()],
            branches: Vec::new(),
            couplings: Vec::new(),
        }
    }

    /// The node all voltages are counted from.
    #[must_use]
    pub fn ground(&self) -> NodeId {
        NodeId(0)
    }

    /// The node of that name, made if there is none yet.
    pub fn node(&mut self, name: &str) -> NodeId {
        let at = self.nodes.iter().position(|known| known == name).unwrap_or_else(|| {
            self.nodes.push(name.to_owned());
            self.nodes.len() - 1
        });
        NodeId(at)
    }

    /// Adds an element between two nodes.
    pub fn branch(&mut self, name: &str, from: NodeId, to: NodeId, element: Element) -> BranchId {
        self.branches.push(Branch { name: name.to_owned(), from, to, element });
        BranchId(self.branches.len() - 1)
    }

    /// Couples two linear inductors: M = k √(L₁ L₂), positive when both currents enter at `from`.
    pub fn couple(&mut self, first: BranchId, second: BranchId, coupling_ratio: f64) {
        self.couplings.push((first, second, coupling_ratio));
    }

    /// An ideal transformer: v₁ = n v₂, i₂ = −n i₁, with n the turns ratio; returns both windings.
    pub fn ideal_transformer(
        &mut self,
        name: &str,
        primary: (NodeId, NodeId),
        secondary: (NodeId, NodeId),
        turns_ratio: f64,
    ) -> (BranchId, BranchId) {
        let first = self.branch(
            &format!("{name}.primary"),
            primary.0,
            primary.1,
            Element::IdealPrimary { turns_ratio },
        );
        let second = self.branch(
            &format!("{name}.secondary"),
            secondary.0,
            secondary.1,
            Element::IdealSecondary { primary: first },
        );
        (first, second)
    }

    /// Replaces the element of a branch; its place in the network stays.
    pub fn replace(&mut self, branch: BranchId, element: Element) {
        self.branches[branch.0].element = element;
    }

    /// The same network at another mains frequency; every value in henry and farad stays.
    #[must_use]
    pub fn with_frequency_hz(mut self, frequency_hz: f64) -> Self {
        self.frequency_hz = frequency_hz;
        self
    }

    /// The branch of that name.
    #[must_use]
    pub fn find(&self, name: &str) -> Option<BranchId> {
        self.branches.iter().position(|branch| branch.name == name).map(BranchId)
    }

    /// Name of a node.
    #[must_use]
    pub fn node_name(&self, node: NodeId) -> &str {
        &self.nodes[node.0]
    }

    /// All node names; the ground node is the first.
    #[must_use]
    pub fn nodes(&self) -> &[String] {
        &self.nodes
    }

    /// All branches, in the order they were added.
    #[must_use]
    pub fn branches(&self) -> &[Branch] {
        &self.branches
    }

    /// Every branch with its handle.
    pub fn branch_ids(&self) -> impl Iterator<Item = BranchId> + use<> {
        (0..self.branches.len()).map(BranchId)
    }

    /// One branch.
    #[must_use]
    pub fn get(&self, branch: BranchId) -> &Branch {
        &self.branches[branch.0]
    }

    /// Branches whose voltages add up to a node's voltage against ground, each with its sign.
    ///
    /// Empty for the ground itself and for a node without a path.
    #[must_use]
    pub fn path_to_ground(&self, node: NodeId) -> Vec<(BranchId, f64)> {
        // Breadth first from the ground: each node remembers the branch it was reached by.
        let mut reached: Vec<Option<(usize, BranchId, f64)>> = vec![None; self.nodes.len()];
        let mut queue = std::collections::VecDeque::from([0]);
        while let Some(at) = queue.pop_front() {
            for (number, branch) in self.branches.iter().enumerate() {
                let (from, to) = (branch.from.0, branch.to.0);
                for (near, far, sign) in [(to, from, 1.0), (from, to, -1.0)] {
                    if near == at && far != 0 && reached[far].is_none() {
                        reached[far] = Some((near, BranchId(number), sign));
                        queue.push_back(far);
                    }
                }
            }
        }
        let mut path = Vec::new();
        let mut at = node.0;
        while let Some((next, branch, sign)) = reached[at] {
            path.push((branch, sign));
            at = next;
        }
        path
    }

    /// Coupled pairs of inductors with their coupling ratio.
    #[must_use]
    pub fn couplings(&self) -> &[(BranchId, BranchId, f64)] {
        &self.couplings
    }

    /// Mains frequency.
    #[must_use]
    pub fn frequency_hz(&self) -> f64 {
        self.frequency_hz
    }

    /// Mains angular frequency.
    #[must_use]
    pub fn omega_rad_per_s(&self) -> f64 {
        std::f64::consts::TAU * self.frequency_hz
    }

    /// Checks everything that can be told before solving; every message names the element.
    ///
    /// # Errors
    /// `OutOfRange` for an absurd value; `Inconsistent` for a dangling node, a part without a path
    /// to ground, a loop of voltage sources and capacitors, a cut set of current sources and
    /// iron-cored inductors, a name used twice, a coupling of what is no inductor.
    pub fn check(&self) -> Result<()> {
        check::check(self)
    }
}

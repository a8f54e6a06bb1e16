//! The circuits of an estimate, each found by its number.

use crate::description::{Parameter, Tolerance};
use crate::error::Result;
use crate::uncertainty::{PairedDesign, Stream};

use super::{EstimateOptions, StepOutcome, VariedCircuit};

/// Which circuits an estimate solves, in their order: pairs with their mixed circuits, a family one
/// behind the other; then the rest of the plain sample.
pub(super) struct EstimatePlan<'a> {
    circuit: &'a VariedCircuit,
    tolerances: &'a [Tolerance],
    design: PairedDesign,
    options: EstimateOptions,
}

impl<'a> EstimatePlan<'a> {
    /// The plan, and the names of the groups of tolerances.
    pub(super) fn new(
        circuit: &'a VariedCircuit,
        tolerances: &'a [Tolerance],
        options: EstimateOptions,
    ) -> (Vec<String>, Self) {
        let (groups, group_of) = grouped(tolerances);
        let design = PairedDesign::new(Stream::new(options.seed), options.pairs, group_of);
        (groups, Self { circuit, tolerances, design, options })
    }

    /// Circuits of a family: both of a pair, and one for each group.
    pub(super) fn family(&self) -> u64 {
        self.design.groups() as u64 + 2
    }

    /// Circuits of all families; they come first.
    pub(super) fn of_families(&self) -> u64 {
        self.options.pairs * self.family()
    }

    /// All circuits.
    pub(super) fn total(&self) -> u64 {
        // Both circuits of a pair belong to the plain sample.
        self.options.circuits + self.options.pairs * self.design.groups() as u64
    }

    /// Solves a circuit.
    pub(super) fn solve(&self, number: u64) -> Result<Vec<StepOutcome>> {
        let row = self.row(number);
        let changes: Vec<(&Parameter, f64)> = self
            .tolerances
            .iter()
            .zip(row)
            .map(|(tolerance, share)| (&tolerance.parameter, tolerance.value(share)))
            .collect();
        self.circuit.solve(&changes)
    }

    fn row(&self, number: u64) -> Vec<f64> {
        let pairs = self.options.pairs;
        if number >= self.of_families() {
            return self.design.plain(2 * pairs + number - self.of_families());
        }
        let pair = number / self.family();
        match number % self.family() {
            0 => self.design.plain(pair),
            1 => self.design.plain(pairs + pair),
            mixed => self.design.mixed(pair, (mixed - 2) as usize),
        }
    }
}

/// Names of the groups in the order they come, and the group of each tolerance.
fn grouped(tolerances: &[Tolerance]) -> (Vec<String>, Vec<usize>) {
    let mut groups: Vec<String> = Vec::new();
    let group_of = |tolerance: &Tolerance| {
        groups.iter().position(|name| *name == tolerance.group).unwrap_or_else(|| {
            groups.push(tolerance.group.clone());
            groups.len() - 1
        })
    };
    let group_of = tolerances.iter().map(group_of).collect();
    (groups, group_of)
}

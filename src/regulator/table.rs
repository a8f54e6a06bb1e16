use rayon::prelude::*;

use crate::error::Result;

use super::{Load, Regulated, ResonantRegulator, SolveOptions};

/// One cell of a table over loads and target currents.
#[derive(Debug)]
pub struct TableCell {
    /// Place of the load in the list.
    pub load: usize,
    /// Place of the target in the list.
    pub target: usize,
    /// The answer for this pair.
    pub answer: Result<Regulated>,
}

/// Operating points for every load and target current, loads in parallel.
///
/// Within a load each target starts from the one before, so the result does not depend on the
/// number of threads. Cells come load by load, targets in the order given; a cell that fails holds
/// its own error and spoils no other.
#[must_use]
pub fn operating_table(
    regulator: &ResonantRegulator,
    loads: &[&dyn Load],
    targets_a: &[f64],
    options: &SolveOptions,
) -> Vec<TableCell> {
    let rows: Vec<Vec<TableCell>> = loads
        .par_iter()
        .enumerate()
        .map(|(at, load)| row(regulator, at, *load, targets_a, options))
        .collect();
    rows.into_iter().flatten().collect()
}

fn row(
    regulator: &ResonantRegulator,
    load: usize,
    attached: &dyn Load,
    targets_a: &[f64],
    options: &SolveOptions,
) -> Vec<TableCell> {
    let mut cells: Vec<TableCell> = Vec::with_capacity(targets_a.len());
    let mut last = None;
    for (target, target_a) in targets_a.iter().enumerate() {
        let start = last.and_then(|at: usize| match &cells[at].answer {
            Ok(Regulated::Held(point)) => Some(point.as_ref()),
            _ => None,
        });
        let answer = regulator.hold(attached, *target_a, start, options);
        if matches!(answer, Ok(Regulated::Held(_))) {
            last = Some(target);
        }
        cells.push(TableCell { load, target, answer });
    }
    cells
}

//! An estimate in the making.

use rayon::prelude::*;

use crate::description::{Parameter, Tolerance};
use crate::error::{Error, Result};
use crate::uncertainty::{PairedDesign, Stream};

use super::output_trace::OutputTrace;
use super::{
    EstimateOptions, EstimatedOutput, Progress, StepEstimate, StepOutcome, StepState, VariedCircuit,
};

/// Circuits between two looks at the progress, and tasks of a block dealt out to threads.
const BLOCK: u64 = 256;
/// Points of a convergence trace.
const MARKS: u64 = 24;

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

fn traces(circuit: &VariedCircuit, groups: usize) -> Vec<Vec<OutputTrace>> {
    let of_step = |nominal: &StepOutcome| {
        EstimatedOutput::ALL.map(|output| OutputTrace::new(output, nominal, groups)).to_vec()
    };
    circuit.nominal().iter().map(of_step).collect()
}

#[derive(Clone, Copy, Debug, Default)]
struct Counts {
    held: u64,
    out_of_reach: u64,
    unsolved: u64,
}

/// An estimate in the making. Circuits are solved in blocks on all processors, and added up one after
/// the other.
pub(super) struct EstimateRun<'a> {
    circuit: &'a VariedCircuit,
    tolerances: &'a [Tolerance],
    design: PairedDesign,
    counts: Vec<Counts>,
    traces: Vec<Vec<OutputTrace>>,
    plain: u64,
    done: u64,
    total: u64,
    mark_every: u64,
}

impl<'a> EstimateRun<'a> {
    /// A run before its first circuit, and the names of the groups of tolerances.
    pub(super) fn new(
        circuit: &'a VariedCircuit,
        tolerances: &'a [Tolerance],
        options: EstimateOptions,
    ) -> (Vec<String>, Self) {
        let (groups, group_of) = grouped(tolerances);
        let run = Self {
            circuit,
            tolerances,
            design: PairedDesign::new(Stream::new(options.seed), options.pairs, group_of),
            counts: vec![Counts::default(); circuit.steps().len()],
            traces: traces(circuit, groups.len()),
            plain: 0,
            done: 0,
            total: options.circuits + options.pairs * groups.len() as u64,
            mark_every: (options.circuits / MARKS).max(1),
        };
        (groups, run)
    }

    fn solve(&self, row: &[f64]) -> Result<Vec<StepOutcome>> {
        let changes: Vec<(&Parameter, f64)> = self
            .tolerances
            .iter()
            .zip(row)
            .map(|(tolerance, share)| (&tolerance.parameter, tolerance.value(*share)))
            .collect();
        self.circuit.solve(&changes)
    }

    /// Pairs with their mixed circuits; both circuits of a pair belong to the plain sample.
    pub(super) fn pairs(&mut self, pairs: u64, progress: &mut dyn Progress) -> Result<()> {
        let groups = self.design.groups() as u64;
        let size = (BLOCK / (groups + 2)).max(1);
        let mut first = 0;
        while first < pairs {
            let last = (first + size).min(pairs);
            let per_pair = groups + 2;
            let tasks = (last - first) * per_pair;
            let solved: Vec<Vec<StepOutcome>> = (0..tasks as usize)
                .into_par_iter()
                .with_max_len(1)
                .map(|task| {
                    let task = task as u64;
                    let pair = first + task / per_pair;
                    self.solve(&match task % per_pair {
                        0 => self.design.plain(pair),
                        1 => self.design.plain(pairs + pair),
                        mixed => self.design.mixed(pair, (mixed - 2) as usize),
                    })
                })
                .collect::<Result<_>>()?;
            for (at, family) in solved.chunks(per_pair as usize).enumerate() {
                self.add_family(first + at as u64, family);
            }
            first = last;
            self.step_on(tasks, progress)?;
        }
        Ok(())
    }

    /// The rest of the plain sample.
    pub(super) fn rest(&mut self, circuits: u64, progress: &mut dyn Progress) -> Result<()> {
        while self.plain < circuits {
            let (first, last) = (self.plain, (self.plain + BLOCK).min(circuits));
            let solved: Vec<Vec<StepOutcome>> = (0..(last - first) as usize)
                .into_par_iter()
                .with_max_len(1)
                .map(|at| self.solve(&self.design.plain(first + at as u64)))
                .collect::<Result<_>>()?;
            solved.iter().for_each(|outcomes| self.add(outcomes));
            self.step_on(last - first, progress)?;
        }
        Ok(())
    }

    fn step_on(&mut self, circuits: u64, progress: &mut dyn Progress) -> Result<()> {
        self.done += circuits;
        progress.show(self.done, self.total);
        if progress.is_stopped() && self.done < self.total {
            return Err(Error::inconsistent("the estimate was stopped before its end"));
        }
        Ok(())
    }

    fn add(&mut self, outcomes: &[StepOutcome]) {
        self.plain += 1;
        let is_mark = self.plain.is_multiple_of(self.mark_every);
        for ((outcome, counts), traces) in
            outcomes.iter().zip(&mut self.counts).zip(&mut self.traces)
        {
            match outcome.state {
                StepState::Held => counts.held += 1,
                StepState::AboveHighest | StepState::BelowLowest => counts.out_of_reach += 1,
                StepState::Unsolved => counts.unsolved += 1,
            }
            for trace in traces {
                trace.add(outcome);
                if is_mark {
                    trace.mark();
                }
            }
        }
    }

    /// A pair with its mixed circuits: A, B, then one for each group.
    fn add_family(&mut self, pair: u64, family: &[Vec<StepOutcome>]) {
        self.add(&family[0]);
        self.add(&family[1]);
        for (at, traces) in self.traces.iter_mut().enumerate() {
            let mixed: Vec<&StepOutcome> = family[2..].iter().map(|steps| &steps[at]).collect();
            for trace in traces {
                trace.add_pair(pair, &family[0][at], &family[1][at], &mixed);
            }
        }
    }

    pub(super) fn finish(self) -> Vec<StepEstimate> {
        let circuits = self.plain;
        let steps = self.circuit.steps().iter().zip(self.counts).zip(self.traces);
        steps
            .map(|((step, counts), traces)| StepEstimate {
                step: step.number,
                nominal_rms_a: step.nominal.a(),
                circuits,
                held: counts.held,
                out_of_reach: counts.out_of_reach,
                unsolved: counts.unsolved,
                outputs: traces.into_iter().filter_map(OutputTrace::finish).collect(),
            })
            .collect()
    }
}

//! An estimate in the making.

use std::ops::ControlFlow;

use crate::error::{Error, Result};

use super::estimate_plan::EstimatePlan;
use super::in_order::in_order;
use super::output_trace::OutputTrace;
use super::{
    EstimateOptions, EstimatedOutput, Progress, StepEstimate, StepOutcome, StepState, VariedCircuit,
};

/// Points of a convergence trace.
const MARKS: u64 = 24;

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

/// The sums of an estimate in the making. Circuits are solved on all processors, and added up one after
/// the other.
pub(super) struct EstimateRun {
    counts: Vec<Counts>,
    traces: Vec<Vec<OutputTrace>>,
    /// Circuits of the family that is not complete yet.
    family: Vec<Vec<StepOutcome>>,
    plain: u64,
    mark_every: u64,
}

impl EstimateRun {
    /// A run before its first circuit.
    pub(super) fn new(circuit: &VariedCircuit, groups: usize, options: EstimateOptions) -> Self {
        Self {
            counts: vec![Counts::default(); circuit.steps().len()],
            traces: traces(circuit, groups),
            family: Vec::new(),
            plain: 0,
            mark_every: (options.circuits / MARKS).max(1),
        }
    }

    /// Solves everything and adds it up.
    ///
    /// # Errors
    /// `Inconsistent` when stopped before the end, or for a number that cannot be.
    pub(super) fn fill(
        &mut self,
        plan: &EstimatePlan<'_>,
        progress: &mut dyn Progress,
    ) -> Result<()> {
        let (families, total) = (plan.of_families(), plan.total());
        in_order(
            0..total,
            |number| plan.solve(number),
            |number, outcomes| {
                if number < families {
                    self.family.push(outcomes);
                    if self.family.len() as u64 == plan.family() {
                        self.add_family(number / plan.family());
                    }
                } else {
                    self.add(&outcomes);
                }
                progress.show(number + 1, total);
                if progress.is_stopped() && number + 1 < total {
                    return Err(Error::inconsistent("the estimate was stopped before its end"));
                }
                Ok(ControlFlow::Continue(()))
            },
        )
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
    fn add_family(&mut self, pair: u64) {
        let family = std::mem::take(&mut self.family);
        self.add(&family[0]);
        self.add(&family[1]);
        for (at, traces) in self.traces.iter_mut().enumerate() {
            let mixed: Vec<&StepOutcome> = family[2..].iter().map(|steps| &steps[at]).collect();
            for trace in traces {
                trace.add_pair(pair, &family[0][at], &family[1][at], &mixed);
            }
        }
    }

    /// The estimates of the circuit's steps.
    pub(super) fn finish(self, circuit: &VariedCircuit) -> Vec<StepEstimate> {
        let circuits = self.plain;
        let steps = circuit.steps().iter().zip(self.counts).zip(self.traces);
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

//! The running sums behind one output of one step.

use crate::uncertainty::{Sample, VarianceShares};

use super::{ConvergencePoint, EstimatedOutput, OutputEstimate, StepOutcome};

/// Shares of the probability at the ends and in the middle of a 95 % interval.
const ENDS: [f64; 3] = [0.025, 0.5, 0.975];
/// Fewest circuits an interval is given for.
const FEWEST: u64 = 10;

#[derive(Clone, Debug)]
pub(super) struct OutputTrace {
    output: EstimatedOutput,
    nominal: Option<f64>,
    sample: Sample,
    shares: VarianceShares,
    convergence: Vec<ConvergencePoint>,
}

impl OutputTrace {
    pub(super) fn new(output: EstimatedOutput, nominal: &StepOutcome, groups: usize) -> Self {
        let nominal = output.of(nominal);
        let reference = nominal.unwrap_or(0.0);
        Self {
            output,
            nominal,
            sample: Sample::new(reference),
            shares: VarianceShares::new(groups, reference),
            convergence: Vec::new(),
        }
    }

    pub(super) fn add(&mut self, outcome: &StepOutcome) {
        if let Some(value) = self.output.of(outcome) {
            self.sample.push(value);
        }
    }

    /// Adds a pair, when all of its circuits hold the step.
    pub(super) fn add_pair(
        &mut self,
        pair: u64,
        a: &StepOutcome,
        b: &StepOutcome,
        mixed: &[&StepOutcome],
    ) {
        let mixed: Option<Vec<f64>> = mixed.iter().map(|m| self.output.of(m)).collect();
        if let (Some(a), Some(b), Some(mixed)) = (self.output.of(a), self.output.of(b), mixed) {
            self.shares.add(pair, a, b, &mixed);
        }
    }

    /// Notes the interval as it is now.
    pub(super) fn mark(&mut self) {
        let held = self.sample.count();
        if held >= FEWEST
            && let Some([low, median, high]) = self.ends()
        {
            self.convergence.push(ConvergencePoint { held, low, median, high });
        }
    }

    fn ends(&self) -> Option<[f64; 3]> {
        self.sample.quantiles(&ENDS)?.try_into().ok()
    }

    /// The estimate; `None` when too few circuits hold the step.
    pub(super) fn finish(self) -> Option<OutputEstimate> {
        Some(OutputEstimate {
            output: self.output,
            nominal: self.nominal,
            mean: self.sample.mean()?,
            standard_deviation: self.sample.standard_deviation()?,
            median: self.ends()?[1],
            low: self.sample.bracketed(ENDS[0])?,
            high: self.sample.bracketed(ENDS[2])?,
            convergence: self.convergence,
            indices: self.shares.indices(),
        })
    }
}

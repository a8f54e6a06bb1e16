use crate::uncertainty::{BracketedQuantile, SensitivityIndex};

use super::EstimatedOutput;

/// One output of one step, with its interval over the tolerances.
#[derive(Clone, Debug, PartialEq)]
pub struct OutputEstimate {
    /// Which output.
    pub output: EstimatedOutput,
    /// Its value with every number as described; `None` when the step is not held so.
    pub nominal: Option<f64>,
    /// Mean over the circuits that hold the step.
    pub mean: f64,
    /// Standard deviation.
    pub standard_deviation: f64,
    /// Median.
    pub median: f64,
    /// 2.5 % of the circuits lie below, with how well that is known.
    pub low: BracketedQuantile,
    /// 2.5 % of the circuits lie above, with how well that is known.
    pub high: BracketedQuantile,
    /// The interval as it settled.
    pub convergence: Vec<ConvergencePoint>,
    /// How much each group of tolerances is behind the variance, in the order of the groups; `None`
    /// when too few circuits hold the step, or none was asked for.
    pub indices: Option<Vec<SensitivityIndex>>,
}

/// The interval after so many circuits.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ConvergencePoint {
    /// Circuits that held the step until then.
    pub held: u64,
    /// Lower end of the interval.
    pub low: f64,
    /// Median.
    pub median: f64,
    /// Upper end of the interval.
    pub high: f64,
}

impl OutputEstimate {
    /// The groups that are behind most of the variance, by their total index, as places in the list
    /// of groups: one when it is behind more than half, two when only both together are, none when
    /// no two are.
    #[must_use]
    pub fn mostly(&self) -> Vec<usize> {
        let Some(indices) = &self.indices else { return Vec::new() };
        let total = |group: &usize| indices[*group].total_ratio;
        let mut groups: Vec<usize> = (0..indices.len()).collect();
        groups.sort_by(|a, b| total(b).total_cmp(&total(a)));
        match groups.as_slice() {
            [first, ..] if total(first) > 0.5 => vec![*first],
            [first, second, ..] if total(first) + total(second) > 0.5 => vec![*first, *second],
            _ => Vec::new(),
        }
    }
}

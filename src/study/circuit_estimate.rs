use crate::description::Tolerance;
use crate::error::{Error, Result};
use crate::regulator::ValuesOrigin;

use super::estimate_plan::EstimatePlan;
use super::estimate_run::EstimateRun;
use super::{EstimateOptions, EstimatedOutput, Progress, StepEstimate, VariedCircuit};

/// What the tolerances of a description leave open: intervals for every step, and which tolerance is
/// behind them.
///
/// Monte Carlo with the solver itself: every circuit is solved, nothing is fitted. The same seed gives
/// the same bytes on any number of threads, and memory does not grow with the number of circuits (see
/// [`crate::uncertainty::Sample`]).
///
/// # Source
/// JCGM 101:2008 for the propagation of distributions and the probabilistically symmetric interval;
/// [`crate::uncertainty::VarianceShares`] for the indices.
#[derive(Clone, Debug, PartialEq)]
pub struct CircuitEstimate {
    /// Names of the groups of tolerances, in the order of the indices.
    pub groups: Vec<String>,
    /// What the tolerances were.
    pub tolerances: Vec<Tolerance>,
    /// How it was made.
    pub options: EstimateOptions,
    /// Where the values of the regulator come from.
    pub values_origin: ValuesOrigin,
    /// The steps, the brightest first.
    pub steps: Vec<StepEstimate>,
}

impl CircuitEstimate {
    /// Estimates every step of a circuit.
    ///
    /// # Errors
    /// `OutOfRange` or `Inconsistent` for options that cannot be; `Inconsistent` without a
    /// tolerance, or when stopped.
    pub fn of(
        circuit: &VariedCircuit,
        tolerances: &[Tolerance],
        options: EstimateOptions,
        progress: &mut dyn Progress,
    ) -> Result<Self> {
        options.check()?;
        if tolerances.is_empty() {
            return Err(Error::inconsistent("there is no tolerance to estimate from")
                .with_hint("add a [[tolerance]], or leave out `generic-tolerances = false`"));
        }
        let (groups, plan) = EstimatePlan::new(circuit, tolerances, options);
        let mut run = EstimateRun::new(circuit, groups.len(), options);
        run.fill(&plan, progress)?;
        let values_origin = circuit.values_origin();
        let (tolerances, steps) = (tolerances.to_vec(), run.finish(circuit));
        Ok(Self { groups, tolerances, options, values_origin, steps })
    }

    /// "step 1: crest factor 1.62, 95 % between 1.55 and 1.71, mostly lamps out".
    ///
    /// The first number is the median. `None` when too few circuits hold the step.
    #[must_use]
    pub fn sentence(&self, step: &StepEstimate) -> Option<String> {
        let crest = step.output(EstimatedOutput::CrestFactor)?;
        let groups: Vec<&str> =
            crest.mostly().into_iter().map(|group| self.groups[group].as_str()).collect();
        let mostly = match (groups.as_slice(), &crest.indices) {
            ([], Some(_)) => ", no two inputs behind most of it".to_owned(),
            ([], None) => String::new(),
            (groups, _) => format!(", mostly {}", groups.join(" and ")),
        };
        Some(format!(
            "step {}: crest factor {:.2}, 95 % between {:.2} and {:.2}{mostly}",
            step.step, crest.median, crest.low.value, crest.high.value
        ))
    }
}

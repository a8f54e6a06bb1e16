use ndarray::Array2;
use rayon::prelude::*;

use crate::error::Result;
use crate::lamp::LampLaw;
use crate::meter::Meter;
use crate::waveform::TrueRms;

use super::{Fitness, StepCase, StepResult};

/// Every meter at every step.
#[derive(Clone, Debug)]
pub struct Survey {
    meters: Vec<Meter>,
    results: Vec<StepResult>,
}

impl Survey {
    /// Judges every meter at every step, the steps in parallel and the result in their order.
    ///
    /// # Errors
    /// As [`StepResult::new`]; of several, the first in the order of the steps.
    pub fn new(
        cases: &[StepCase],
        meters: &[Meter],
        lamp: &LampLaw,
        rated: TrueRms,
    ) -> Result<Self> {
        let results: Vec<Result<StepResult>> =
            cases.par_iter().map(|case| StepResult::new(case, meters, lamp, rated)).collect();
        Ok(Self { meters: meters.to_vec(), results: results.into_iter().collect::<Result<_>>()? })
    }

    /// The meters, in the order given.
    #[must_use]
    pub fn meters(&self) -> &[Meter] {
        &self.meters
    }

    /// The steps, in the order given.
    #[must_use]
    pub fn results(&self) -> &[StepResult] {
        &self.results
    }

    /// Errors as ratios: steps x meters.
    #[must_use]
    pub fn error_ratios(&self) -> Array2<f64> {
        Array2::from_shape_fn((self.results.len(), self.meters.len()), |(step, meter)| {
            self.results[step].judgements[meter].error_ratio
        })
    }

    /// Whether a meter (by its place in [`Self::meters`]) is fit at every step, tight at none.
    #[must_use]
    pub fn fit_everywhere(&self, meter: usize) -> bool {
        self.results.iter().all(|result| result.judgements[meter].fitness == Fitness::Fit)
    }

    /// The step numbers at which a meter gets one of these verdicts, in the order of the results.
    #[must_use]
    pub fn steps_with(&self, meter: usize, verdicts: &[Fitness]) -> Vec<u32> {
        self.results
            .iter()
            .filter(|result| verdicts.contains(&result.judgements[meter].fitness))
            .map(|result| result.step.number)
            .collect()
    }
}

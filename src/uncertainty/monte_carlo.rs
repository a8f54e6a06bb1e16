use rayon::prelude::*;

use crate::error::{Bounds, Error, Result};

use super::{
    Correlations, Distribution, Input, MonteCarloRun, Sampled, Stream, Tolerance, coverage,
};

/// Propagation of distributions by trials.
///
/// Beside a [`Budget`](super::Budget): no straight-line model and no coverage factor is assumed.
/// Blocks of trials run on all cores; what comes out depends on the seed only, not on their number.
///
/// # Source
/// JCGM 101:2008, clause 7; the adaptive procedure is 7.9.
///
/// # Example
/// ```
/// use loopcrest::uncertainty::{Correlations, Input, MonteCarlo};
/// let inputs = [
///     Input::rectangular("reading", "A", 6.60, 0.05).unwrap(),
///     Input::rectangular("offset", "A", 0.0, 0.05).unwrap(),
/// ];
/// let independent = Correlations::none(2);
/// let run = MonteCarlo::default().run(&inputs, &independent, |x| x[0] + x[1]).unwrap();
/// assert!((run.sampled.standard_uncertainty() - 0.05 * (2.0_f64 / 3.0).sqrt()).abs() < 3e-4);
/// assert!(run.stable);
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MonteCarlo {
    /// Seed of the random numbers.
    pub seed: u64,
    /// Probability of the coverage interval whose ends must be stable.
    pub coverage_probability: f64,
    /// Digits of the standard uncertainty that must be stable.
    pub significant_digits: u32,
    /// Trials after which it ends, stable or not.
    pub most_trials: usize,
    /// Ends only at [`Self::most_trials`], stable before or not.
    pub exactly: bool,
}

impl Default for MonteCarlo {
    /// Two digits at 95 %, ten million trials at most.
    fn default() -> Self {
        Self {
            seed: 1,
            coverage_probability: 0.95,
            significant_digits: 2,
            most_trials: 10_000_000,
            exactly: false,
        }
    }
}

impl MonteCarlo {
    /// Trials of one run.
    pub const TRIALS: Bounds = Bounds::new("number of trials", "", 20_000.0, 1e9);
    /// Digits of a standard uncertainty.
    pub const DIGITS: Bounds = Bounds::new("significant digits", "", 1.0, 4.0);
    /// Trials of a block. JCGM 101, 7.9.4, wants the larger of 100/(1 − p) and 10⁴.
    pub const BLOCK: usize = 10_000;
    /// Blocks between two looks at the stability. Fixed, so that the number of threads has no say in
    /// where a run ends.
    const WAVE: usize = 10;

    /// Exactly this many trials, rounded up to whole blocks.
    #[must_use]
    pub fn with_trials(self, trials: usize) -> Self {
        Self { most_trials: trials, exactly: true, ..self }
    }

    /// Runs a model on inputs.
    ///
    /// Correlated inputs are drawn as jointly normal.
    ///
    /// # Errors
    /// `OutOfRange` for options out of bounds; `Inconsistent` for correlations of another number of
    /// inputs, for correlated inputs that are not normal, or when a trial has no result.
    pub fn run(
        &self,
        inputs: &[Input],
        correlations: &Correlations,
        model: impl Fn(&[f64]) -> f64 + Sync,
    ) -> Result<MonteCarloRun> {
        coverage::PROBABILITY.check(self.coverage_probability)?;
        Self::DIGITS.check(f64::from(self.significant_digits))?;
        Self::TRIALS.check(self.most_trials as f64)?;
        let source = Source::new(self.seed, inputs, correlations)?;
        let smallest = (100.0 / (1.0 - self.coverage_probability)).ceil() as usize;
        let block = smallest.max(Self::BLOCK);
        let most_blocks = self.most_trials.div_ceil(block).max(2);
        let mut trials: Vec<f64> = Vec::new();
        let mut looks: Vec<[f64; 4]> = Vec::new();
        loop {
            let (first, more) = (looks.len(), Self::WAVE.min(most_blocks - looks.len()));
            let wave: Vec<(Vec<f64>, Result<[f64; 4]>)> = (first..first + more)
                .into_par_iter()
                .map(|number| {
                    let results = source.block((number * block) as u64, block, &model);
                    let look = self.look(results.clone());
                    (results, look)
                })
                .collect();
            for (results, look) in wave {
                trials.extend(results);
                looks.push(look?);
            }
            let done = looks.len() >= most_blocks;
            let tolerance = self.tolerance(&looks, block)?;
            let stable = stable(&looks, tolerance);
            if done || (stable && !self.exactly) {
                return Ok(MonteCarloRun { sampled: Sampled::new(trials)?, tolerance, stable });
            }
        }
    }

    /// Mean, standard uncertainty and both ends of the symmetric interval of one block.
    fn look(&self, results: Vec<f64>) -> Result<[f64; 4]> {
        let block = Sampled::new(results)?;
        let interval = block.symmetric_interval(self.coverage_probability)?;
        Ok([block.mean(), block.standard_uncertainty(), interval.low, interval.high])
    }

    /// Half of the last significant digit of the standard uncertainty of all trials so far, their
    /// scatter put together from that of the blocks.
    fn tolerance(&self, looks: &[[f64; 4]], block: usize) -> Result<f64> {
        let (blocks, length) = (looks.len() as f64, block as f64);
        let mean = looks.iter().map(|look| look[0]).sum::<f64>() / blocks;
        let squares: f64 = looks
            .iter()
            .map(|look| (length - 1.0) * look[1].powi(2) + length * (look[0] - mean).powi(2))
            .sum();
        let all = (squares / (blocks * length - 1.0)).sqrt();
        Tolerance::of(all, self.significant_digits).map(|tolerance| tolerance.half_width)
    }
}

/// Whether twice the standard deviation of the mean over the blocks is below the tolerance, for
/// every quantity looked at. A result without uncertainty is stable.
///
/// # Source
/// JCGM 101:2008, 7.9.4, steps g to j.
fn stable(looks: &[[f64; 4]], tolerance: f64) -> bool {
    let n = looks.len() as f64;
    (0..4).all(|quantity| {
        let mean = looks.iter().map(|look| look[quantity]).sum::<f64>() / n;
        let squares: f64 = looks.iter().map(|look| (look[quantity] - mean).powi(2)).sum();
        2.0 * (squares / (n * (n - 1.0))).sqrt() <= tolerance
    })
}

/// Draws of all inputs, block by block.
struct Source<'a> {
    stream: Stream,
    inputs: &'a [Input],
    /// Places of the correlated inputs and the triangle of all; empty when none are.
    tied: Vec<usize>,
    triangle: Vec<f64>,
}

impl<'a> Source<'a> {
    fn new(seed: u64, inputs: &'a [Input], correlations: &Correlations) -> Result<Self> {
        if inputs.is_empty() || inputs.len() != correlations.len() {
            return Err(Error::inconsistent(format!(
                "{} inputs with correlations of {}",
                inputs.len(),
                correlations.len()
            )));
        }
        for input in inputs {
            input.distribution.check().map_err(|error| error.with_context(input.name.clone()))?;
        }
        let tied: Vec<usize> = (0..inputs.len()).filter(|i| correlations.involves(*i)).collect();
        if let Some(bad) =
            tied.iter().find(|i| !matches!(inputs[**i].distribution, Distribution::Normal { .. }))
        {
            return Err(Error::inconsistent(format!(
                "{} is correlated with another input but its distribution is not normal",
                inputs[*bad].name
            ))
            .with_hint("correlated inputs are drawn as jointly normal"));
        }
        let stream = Stream::new(seed);
        Ok(Self { stream, inputs, tied, triangle: correlations.triangle()? })
    }

    /// Results of consecutive trials.
    fn block(
        &self,
        first_trial: u64,
        length: usize,
        model: &(impl Fn(&[f64]) -> f64 + Sync),
    ) -> Vec<f64> {
        let n = self.inputs.len();
        let mut columns = vec![0.0; n * length];
        for (i, column) in columns.chunks_exact_mut(length).enumerate() {
            let coordinate = u32::try_from(i).expect("fewer inputs than coordinates of a stream");
            self.inputs[i].distribution.draw(&self.stream, coordinate, first_trial, column);
        }
        let mut trial = vec![0.0; n];
        let mut deviates = vec![0.0; n];
        (0..length)
            .map(|k| {
                for (i, value) in trial.iter_mut().enumerate() {
                    *value = columns[i * length + k];
                }
                self.tie(&mut trial, &mut deviates);
                model(&trial)
            })
            .collect()
    }

    /// Replaces independent normal draws by correlated ones of the same means and spreads.
    fn tie(&self, trial: &mut [f64], deviates: &mut [f64]) {
        let n = trial.len();
        for &i in &self.tied {
            let estimate = &self.inputs[i].estimate;
            deviates[i] = (trial[i] - estimate.value) / estimate.standard_uncertainty;
        }
        for &i in &self.tied {
            let row = &self.triangle[i * n..(i + 1) * n];
            let deviate: f64 = self.tied.iter().map(|&j| row[j] * deviates[j]).sum();
            let estimate = &self.inputs[i].estimate;
            trial[i] = estimate.value + estimate.standard_uncertainty * deviate;
        }
    }
}

use rayon::prelude::*;

use crate::error::{Bounds, Error, Result};

use super::{Interval, coverage};

/// The distribution of a result as a great number of trials of it.
///
/// # Source
/// JCGM 101:2008, 7.5 to 7.7.
#[derive(Clone, Debug, PartialEq)]
pub struct Sampled {
    sorted: Vec<f64>,
    mean: f64,
    standard_uncertainty: f64,
}

impl Sampled {
    /// From the results of the trials, in any order.
    ///
    /// # Errors
    /// `Inconsistent` for fewer than 100 trials, or a trial whose result is not a number.
    pub fn new(mut trials: Vec<f64>) -> Result<Self> {
        let n = trials.len();
        if n < 100 {
            return Err(Error::inconsistent(format!(
                "{n} trials are too few to see a distribution"
            )));
        }
        let bad = trials.iter().filter(|trial| !trial.is_finite()).count();
        if bad > 0 {
            return Err(Error::inconsistent(format!(
                "{bad} of {n} trials have no result that is a number"
            ))
            .with_hint("an input's distribution reaches where the model is not defined"));
        }
        trials.par_sort_unstable_by(f64::total_cmp);
        // Summed in sorted order, so that the order of the trials does not matter to the last bit.
        let mean = trials.iter().sum::<f64>() / n as f64;
        let squares: f64 = trials.iter().map(|trial| (trial - mean).powi(2)).sum();
        let standard_uncertainty = (squares / (n - 1) as f64).sqrt();
        Ok(Self { sorted: trials, mean, standard_uncertainty })
    }

    /// How many trials.
    #[must_use]
    pub fn trials(&self) -> usize {
        self.sorted.len()
    }

    /// The estimate of the result: the mean.
    #[must_use]
    pub fn mean(&self) -> f64 {
        self.mean
    }

    /// Its standard uncertainty: the standard deviation of the trials.
    #[must_use]
    pub fn standard_uncertainty(&self) -> f64 {
        self.standard_uncertainty
    }

    /// The trials, from the smallest to the largest.
    #[must_use]
    pub fn sorted(&self) -> &[f64] {
        &self.sorted
    }

    /// Share of the trials up to `x`.
    #[must_use]
    pub fn cdf(&self, x: f64) -> f64 {
        self.sorted.partition_point(|trial| *trial <= x) as f64 / self.sorted.len() as f64
    }

    /// The value below which a share of the trials lies, between neighbours by straight line.
    ///
    /// # Errors
    /// `OutOfRange` for a share outside 0 to 1.
    pub fn quantile(&self, share: f64) -> Result<f64> {
        Bounds::new("share of the trials", "", 0.0, 1.0).check(share)?;
        let n = self.sorted.len();
        let place = (share * n as f64 - 0.5).clamp(0.0, (n - 1) as f64);
        let below = place.floor() as usize;
        let above = (below + 1).min(n - 1);
        let part = place - below as f64;
        Ok(self.sorted[below] * (1.0 - part) + self.sorted[above] * part)
    }

    /// The coverage interval with as many trials below it as above it.
    ///
    /// # Errors
    /// `OutOfRange` for a coverage probability out of bounds.
    pub fn symmetric_interval(&self, coverage_probability: f64) -> Result<Interval> {
        let tail = 0.5 * (1.0 - coverage::PROBABILITY.check(coverage_probability)?);
        let (low, high) = (self.quantile(tail)?, self.quantile(1.0 - tail)?);
        Ok(Interval { low, high, coverage_probability })
    }

    /// The shortest of all intervals that hold the probability; of equals, the lowest.
    ///
    /// # Errors
    /// `OutOfRange` for a coverage probability out of bounds.
    ///
    /// # Source
    /// JCGM 101:2008, 7.7.4.
    pub fn shortest_interval(&self, coverage_probability: f64) -> Result<Interval> {
        let share = coverage::PROBABILITY.check(coverage_probability)?;
        let n = self.sorted.len();
        let inside = ((share * n as f64).round() as usize).min(n - 1);
        let width = |start: usize| self.sorted[start + inside] - self.sorted[start];
        let start = (1..n - inside).fold(
            0,
            |best, start| {
                if width(start) < width(best) { start } else { best }
            },
        );
        let (low, high) = (self.sorted[start], self.sorted[start + inside]);
        Ok(Interval { low, high, coverage_probability })
    }
}

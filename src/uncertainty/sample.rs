use std::collections::BTreeMap;

use statrs::distribution::{Binomial, DiscreteCDF};
use statrs::statistics::{Data, Distribution, OrderStatistics};

use super::BracketedQuantile;

/// Outputs of a Monte Carlo run, kept in a memory that stops growing.
///
/// Up to [`Self::EXACT`] values are kept as they are. Beyond that they are counted in bins whose edges
/// are fixed before the first value is seen, so that the counts depend neither on the order of the
/// values nor on how they were dealt out to threads.
///
/// # Formula
/// Bin k holds magnitudes from rᵏ to rᵏ⁺¹ with r = 1 + [`Self::RESOLUTION_RATIO`], for each sign; the
/// value read off is the bin's middle. At most ln(largest/smallest)/ln r bins are in use.
///
/// # Validity
/// Quantiles are exact up to [`Self::EXACT`] values, then off by half of [`Self::RESOLUTION_RATIO`];
/// magnitudes below 1e-9 count as 0.
#[derive(Clone, Debug)]
pub struct Sample {
    kept: Vec<f64>,
    bins: BTreeMap<i64, u64>,
    count: u64,
    shift: f64,
    sum: f64,
}

impl Sample {
    /// Values kept as they are.
    pub const EXACT: usize = 1 << 16;
    /// Width of a bin over the value in it.
    pub const RESOLUTION_RATIO: f64 = 2e-5;
    /// Magnitudes below this count as 0.
    const SMALLEST: f64 = 1e-9;

    /// An empty sample; a `shift` near its values keeps the digits of the mean.
    #[must_use]
    pub fn new(shift: f64) -> Self {
        Self { kept: Vec::new(), bins: BTreeMap::new(), count: 0, shift, sum: 0.0 }
    }

    /// Adds a value.
    pub fn push(&mut self, value: f64) {
        self.count += 1;
        self.sum += value - self.shift;
        if self.bins.is_empty() && self.kept.len() < Self::EXACT {
            self.kept.push(value);
            return;
        }
        for value in std::mem::take(&mut self.kept) {
            *self.bins.entry(bin_of(value)).or_default() += 1;
        }
        *self.bins.entry(bin_of(value)).or_default() += 1;
    }

    /// Number of values.
    #[must_use]
    pub fn count(&self) -> u64 {
        self.count
    }

    /// Numbers held: what its memory is proportional to.
    #[must_use]
    pub fn held(&self) -> usize {
        self.kept.len() + self.bins.len()
    }

    /// Mean; `None` of nothing.
    #[must_use]
    pub fn mean(&self) -> Option<f64> {
        (self.count > 0).then(|| self.shift + self.sum / self.count as f64)
    }

    /// Standard deviation; `None` for fewer than two values.
    #[must_use]
    pub fn standard_deviation(&self) -> Option<f64> {
        if self.count < 2 {
            return None;
        }
        if self.bins.is_empty() {
            return Data::new(self.kept.clone()).std_dev();
        }
        let mean = self.mean()?;
        let squares: f64 =
            self.bins.iter().map(|(k, n)| *n as f64 * (middle_of(*k) - mean).powi(2)).sum();
        Some((squares / (self.count - 1) as f64).sqrt())
    }

    /// Quantiles in the order asked for; `None` of nothing.
    ///
    /// # Source
    /// Linear between the plotting positions (k − 1/3)/(n + 1/3): Hyndman and Fan, The American
    /// Statistician 50 (1996) 361–365, definition 8, as `statrs` has it.
    #[must_use]
    pub fn quantiles(&self, probabilities: &[f64]) -> Option<Vec<f64>> {
        if self.count == 0 {
            return None;
        }
        if self.bins.is_empty() {
            let mut data = Data::new(self.kept.clone());
            return Some(probabilities.iter().map(|p| data.quantile(*p)).collect());
        }
        Some(probabilities.iter().map(|p| self.ranked(p * (self.count - 1) as f64)).collect())
    }

    /// A quantile with the 95 % confidence interval of the quantile itself; `None` when the sample is
    /// too small to have one.
    ///
    /// # Formula
    /// The ranks l, u between which a binomial (n, p) count lies with 95 %: the interval of ordered
    /// values from l to u + 1 covers the quantile with at least that probability, whatever the law.
    #[must_use]
    pub fn bracketed(&self, probability: f64) -> Option<BracketedQuantile> {
        let value = self.quantiles(&[probability])?[0];
        let below = Binomial::new(probability, self.count).ok()?;
        let (low, high) = (below.inverse_cdf(0.025), below.inverse_cdf(0.975) + 1);
        if low < 1 || high > self.count {
            return None;
        }
        let rank = |rank: u64| -> f64 {
            if self.bins.is_empty() {
                Data::new(self.kept.clone()).order_statistic(rank as usize)
            } else {
                self.ranked((rank - 1) as f64)
            }
        };
        Some(BracketedQuantile { value, low: rank(low), high: rank(high) })
    }

    /// The binned value of a rank counted from 0.
    fn ranked(&self, rank: f64) -> f64 {
        let mut before = 0;
        for (bin, count) in &self.bins {
            before += count;
            if before as f64 > rank {
                return middle_of(*bin);
            }
        }
        self.bins.last_key_value().map_or(f64::NAN, |(bin, _)| middle_of(*bin))
    }
}

/// Signed bins: 0 for what counts as 0, k + 1 upwards for positive magnitudes.
fn bin_of(value: f64) -> i64 {
    let magnitude = value.abs() / Sample::SMALLEST;
    if magnitude < 1.0 {
        return 0;
    }
    let bin = (magnitude.ln() / Sample::RESOLUTION_RATIO.ln_1p()).floor() as i64 + 1;
    if value < 0.0 { -bin } else { bin }
}

fn middle_of(bin: i64) -> f64 {
    if bin == 0 {
        return 0.0;
    }
    let power = (bin.abs() as f64 - 0.5) * Sample::RESOLUTION_RATIO.ln_1p();
    (Sample::SMALLEST * power.exp()).copysign(bin as f64)
}

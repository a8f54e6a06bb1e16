use crate::error::Result;
use crate::waveform::Waveform;

/// One period made of many, sample by sample, with how far they spread.
///
/// # Formula
/// Running mean and sum of squared deviations of each place of the grid (Welford).
#[derive(Clone, Debug, PartialEq)]
pub struct AveragedPeriod {
    count: u64,
    mean_a: Vec<f64>,
    squares_a2: Vec<f64>,
    periods_s: f64,
}

impl AveragedPeriod {
    /// No period yet, on a grid of so many samples.
    #[must_use]
    pub fn new(samples_per_period: usize) -> Self {
        let (mean_a, squares_a2) = (vec![0.0; samples_per_period], vec![0.0; samples_per_period]);
        Self { count: 0, mean_a, squares_a2, periods_s: 0.0 }
    }

    /// Takes one period on the same grid.
    pub fn add(&mut self, grid_a: &[f64], period_s: f64) {
        self.count += 1;
        self.periods_s += period_s;
        let share = 1.0 / self.count as f64;
        let places = self.mean_a.iter_mut().zip(&mut self.squares_a2);
        for ((mean_a, square_a2), i_a) in places.zip(grid_a) {
            let away_a = i_a - *mean_a;
            *mean_a += share * away_a;
            *square_a2 += away_a * (i_a - *mean_a);
        }
    }

    /// Periods taken.
    #[must_use]
    pub fn count(&self) -> u64 {
        self.count
    }

    /// The mean at each place.
    #[must_use]
    pub fn mean_a(&self) -> &[f64] {
        &self.mean_a
    }

    /// Standard deviation from period to period at each place; `None` for fewer than two periods.
    #[must_use]
    pub fn spread_a(&self) -> Option<Vec<f64>> {
        let freedom = self.count.checked_sub(1).filter(|freedom| *freedom > 0)? as f64;
        Some(self.squares_a2.iter().map(|square_a2| (square_a2 / freedom).sqrt()).collect())
    }

    /// The mean period as a waveform; `None` when there is none.
    ///
    /// # Errors
    /// As [`Waveform::new`].
    pub fn waveform(&self, highest_order: usize) -> Result<Option<Waveform>> {
        if self.count == 0 {
            return Ok(None);
        }
        let n = self.mean_a.len();
        let interval_s = self.periods_s / (self.count as f64 * n as f64);
        let waveform = Waveform::new(self.mean_a.clone(), n, interval_s)?;
        Ok(Some(waveform.with_highest_order(highest_order)))
    }
}

use super::{AveragedPeriod, PeriodRow};

/// A stretch in which the current stays as it is: its averaged period and the scatter of its periods.
#[derive(Clone, Debug, PartialEq)]
pub struct SteadyPart {
    /// Where its first period begins, in seconds after the first sample.
    pub start_s: f64,
    /// Where its last period ends.
    pub end_s: f64,
    /// The averaged period.
    pub averaged: AveragedPeriod,
    square_sum_a2: f64,
    mean_sum_a: f64,
    rms: Scatter,
    frequency: Scatter,
    peak_a: f64,
    peak_sum_a: f64,
}

/// Running mean and squared deviations.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Scatter {
    count: u64,
    mean: f64,
    squares: f64,
}

impl SteadyPart {
    pub(super) fn new(samples_per_period: usize, start_s: f64) -> Self {
        Self {
            start_s,
            end_s: start_s,
            averaged: AveragedPeriod::new(samples_per_period),
            square_sum_a2: 0.0,
            mean_sum_a: 0.0,
            rms: Scatter::default(),
            frequency: Scatter::default(),
            peak_a: 0.0,
            peak_sum_a: 0.0,
        }
    }

    pub(super) fn add(&mut self, row: &PeriodRow, grid_a: &[f64]) {
        let rms_a = row.measures.dc.rms_a;
        self.averaged.add(grid_a, row.period_s());
        self.end_s = row.start_s + row.period_s();
        self.square_sum_a2 += rms_a * rms_a;
        self.mean_sum_a += row.measures.mean_a;
        self.rms.add(rms_a);
        self.frequency.add(row.frequency_hz);
        self.peak_a = self.peak_a.max(row.measures.dc.peak_a);
        self.peak_sum_a += row.measures.dc.peak_a;
    }

    /// Periods in it.
    #[must_use]
    pub fn periods(&self) -> u64 {
        self.averaged.count()
    }

    /// True RMS over all its periods, mean included; 0 only for a current that is none.
    #[must_use]
    pub fn rms_a(&self) -> f64 {
        (self.square_sum_a2 / self.periods().max(1) as f64).sqrt()
    }

    /// Mean over all its periods.
    #[must_use]
    pub fn mean_a(&self) -> f64 {
        self.mean_sum_a / self.periods().max(1) as f64
    }

    /// Largest magnitude in any of its periods.
    #[must_use]
    pub fn peak_a(&self) -> f64 {
        self.peak_a
    }

    /// Mean of the largest magnitudes of its periods: the peak for a crest factor, which a single
    /// spike does not decide.
    #[must_use]
    pub fn mean_peak_a(&self) -> f64 {
        self.peak_sum_a / self.periods().max(1) as f64
    }

    /// Standard deviation of the RMS of single periods; `None` for fewer than two.
    #[must_use]
    pub fn rms_deviation_a(&self) -> Option<f64> {
        self.rms.deviation()
    }

    /// Mean frequency by which its periods were cut.
    #[must_use]
    pub fn frequency_hz(&self) -> f64 {
        self.frequency.mean
    }

    /// Standard deviation of that frequency from period to period; `None` for fewer than two.
    #[must_use]
    pub fn frequency_deviation_hz(&self) -> Option<f64> {
        self.frequency.deviation()
    }
}

impl Scatter {
    fn add(&mut self, value: f64) {
        self.count += 1;
        let away = value - self.mean;
        self.mean += away / self.count as f64;
        self.squares += away * (value - self.mean);
    }

    fn deviation(&self) -> Option<f64> {
        (self.count > 1).then(|| (self.squares / (self.count - 1) as f64).sqrt())
    }
}

use rayon::prelude::*;

use super::harmonic_fit::HarmonicFit;

/// Samples on either side that take part in one interpolated value. Short on purpose: the harmonics
/// go with the fit, and a steep kernel would build peaks between samples out of the noise in the top
/// of the band, which an instrument's own filter has not passed faithfully either.
pub(super) const HALF_TAPS: usize = 10;
/// Shape of the Kaiser window: side lobes below -80 dB.
const KAISER_BETA: f64 = 8.0;
/// Entries of the window's table; linear between them to 1e-7.
const TABLE: usize = 4096;

/// Where the new samples lie among the old ones.
#[derive(Clone, Copy, Debug)]
pub(super) struct Grid {
    /// Position of the window's start, in samples of the context.
    pub(super) start: f64,
    /// Length of one period, in samples of the context.
    pub(super) period_samples: f64,
    pub(super) cycles: usize,
    pub(super) samples_per_period: usize,
}

impl Grid {
    /// Position of new sample k of a cycle: the middle of its cell.
    fn position(&self, cycle: usize, k: usize) -> f64 {
        let in_period = (k as f64 + 0.5) / self.samples_per_period as f64;
        self.start + (cycle as f64 + in_period) * self.period_samples
    }
}

/// The samples brought onto a grid of a whole number of samples per period.
///
/// The harmonics of the fit are carried over exactly; what the fit leaves is interpolated by a
/// Kaiser-windowed sinc. So the ends of a record, where there is no neighbour on one side, cost no
/// more than the small rest there, and nothing is bent to suit the fit: fit plus rest are the samples.
/// `fit_start` is the position of the fit's first sample in `context`.
pub(super) fn resample(
    context: &[f64],
    fit: &HarmonicFit,
    fit_start: usize,
    grid: &Grid,
) -> Vec<f64> {
    let rest: Vec<f64> = context
        .par_iter()
        .enumerate()
        .map(|(n, x)| x - fit.at(n as f64 - fit_start as f64))
        .collect();
    // The fit repeats from cycle to cycle, so one cycle of it is enough.
    let one_cycle: Vec<f64> = (0..grid.samples_per_period)
        .map(|k| fit.at(grid.position(0, k) - fit_start as f64))
        .collect();
    let kernel = Kernel::new(grid.samples_per_period as f64 / grid.period_samples);
    (0..grid.cycles)
        .into_par_iter()
        .flat_map_iter(|cycle| {
            let (rest, kernel, one_cycle) = (&rest, &kernel, &one_cycle);
            (0..grid.samples_per_period)
                .map(move |k| one_cycle[k] + kernel.at(rest, grid.position(cycle, k)))
        })
        .collect()
}

/// A windowed sinc; for fewer new samples than old ones it is wider and cuts at the lower rate.
struct Kernel {
    cutoff_ratio: f64,
    half_width: f64,
    window: Vec<f64>,
}

impl Kernel {
    fn new(new_per_old_ratio: f64) -> Self {
        let cutoff_ratio = new_per_old_ratio.min(1.0);
        let top = bessel_i0(KAISER_BETA);
        let window = (0..=TABLE)
            .map(|k| {
                let x = k as f64 / TABLE as f64;
                bessel_i0(KAISER_BETA * (1.0 - x * x).sqrt()) / top
            })
            .collect();
        Self { cutoff_ratio, half_width: HALF_TAPS as f64 / cutoff_ratio, window }
    }

    fn at(&self, rest: &[f64], position: f64) -> f64 {
        let first = (position - self.half_width).ceil().max(0.0) as usize;
        let last = (position + self.half_width).floor().min(rest.len() as f64 - 1.0);
        if last < first as f64 {
            return 0.0;
        }
        let last = last as usize;
        let mut sum = 0.0;
        // For a full-band kernel the sine only changes its sign from tap to tap.
        let full_band = self.cutoff_ratio >= 1.0;
        let mut sine = (std::f64::consts::PI * (position - first as f64)).sin();
        for (n, r) in rest[first..=last].iter().enumerate() {
            let away = position - (first + n) as f64;
            let angle = std::f64::consts::PI * self.cutoff_ratio * away;
            let top = if full_band { sine } else { angle.sin() };
            sine = -sine;
            let sinc = if angle.abs() < 1e-9 { 1.0 } else { top / angle };
            sum += r * self.cutoff_ratio * sinc * self.window_at(away.abs() / self.half_width);
        }
        sum
    }

    fn window_at(&self, x: f64) -> f64 {
        let at = x.min(1.0) * TABLE as f64;
        let k = (at as usize).min(TABLE - 1);
        let part = at - k as f64;
        self.window[k] + part * (self.window[k + 1] - self.window[k])
    }
}

/// Modified Bessel function of the first kind, order 0, by its power series.
fn bessel_i0(x: f64) -> f64 {
    let quarter = x * x / 4.0;
    let (mut term, mut sum) = (1.0, 1.0);
    for k in 1..60 {
        term *= quarter / f64::from(k * k);
        sum += term;
    }
    sum
}

use crate::error::Result;
use crate::waveform::{Measures, Waveform};

use super::super::frequency::harmonics;
use super::super::harmonic_fit::HarmonicFit;
use super::super::resample::{Grid, HALF_TAPS, resample};
use super::{CycleWindow, HarmonicGroups};

/// Orders modelled in a window.
const MODEL_HARMONICS: usize = 40;

/// Some whole periods to be measured; positions count samples of the buffer.
#[derive(Clone, Copy, Debug)]
pub(super) struct Job {
    pub(super) start: f64,
    /// Whether it begins where the one before ends.
    pub(super) follows: bool,
    /// By which the periods are cut.
    pub(super) period_samples: f64,
    /// That was found; the cut may be a hair off to come back to the rising zero.
    pub(super) frequency_hz: f64,
    pub(super) tracked: bool,
    pub(super) cycles: usize,
    pub(super) samples_per_period: usize,
    /// Whether this is a window of 10 or 12 cycles and not the rest of a stretch.
    pub(super) is_window: bool,
}

/// What was measured.
#[derive(Debug)]
pub(super) struct Measured {
    /// All periods on the grid.
    pub(super) grid_a: Vec<f64>,
    /// One for each period.
    pub(super) periods: Vec<Measures>,
    /// Mean square of each half cycle.
    pub(super) halves_a2: Vec<f64>,
    /// Largest magnitude of each half cycle.
    pub(super) half_peaks_a: Vec<f64>,
    pub(super) rms_a: f64,
    pub(super) groups: Option<HarmonicGroups>,
}

/// The samples of one period as the converter gave them, and those of its window.
#[derive(Clone, Copy, Debug)]
pub(super) struct RawPeriod<'a> {
    /// The period's own.
    pub(super) samples_a: &'a [f64],
    /// Its length.
    pub(super) period_samples: f64,
}

impl Job {
    /// The samples of the job and those around it that the interpolation may use.
    fn context(&self, clear: usize) -> std::ops::Range<usize> {
        let from = (self.start - HALF_TAPS as f64).floor().max(0.0) as usize;
        let to = (self.end() + HALF_TAPS as f64).ceil() as usize + 1;
        from..to.min(clear)
    }

    pub(super) fn end(&self) -> f64 {
        self.start + self.cycles as f64 * self.period_samples
    }

    /// The samples within one period.
    pub(super) fn raw<'b>(&self, clear_a: &'b [f64], period: usize) -> RawPeriod<'b> {
        let from = self.start + period as f64 * self.period_samples;
        let first = from.ceil().max(0.0) as usize;
        let end = ((from + self.period_samples).ceil() as usize).min(clear_a.len());
        let samples_a = clear_a.get(first..end).unwrap_or(&[]);
        RawPeriod { samples_a, period_samples: self.period_samples }
    }

    /// Brings the periods onto their grid and measures each.
    ///
    /// # Errors
    /// `OutOfRange` for a sample beyond what a current may be.
    pub(super) fn measure(&self, clear_a: &[f64]) -> Result<Measured> {
        let region_from = self.start.floor().max(0.0) as usize;
        let region_to = (self.end().ceil() as usize + 1).min(clear_a.len());
        let region_a = &clear_a[region_from..region_to];
        let omega = std::f64::consts::TAU / self.period_samples;
        let orders = harmonics(region_a.len(), self.period_samples, MODEL_HARMONICS);
        // Any fit will do: fit plus rest are the samples.
        let fit =
            [orders, 1].into_iter().find_map(|orders| HarmonicFit::new(region_a, omega, orders));
        let context = self.context(clear_a.len());
        let n = self.samples_per_period;
        let grid = Grid {
            start: self.start - context.start as f64,
            period_samples: self.period_samples,
            cycles: self.cycles,
            samples_per_period: n,
        };
        let fit = fit.ok_or_else(|| {
            crate::error::Error::inconsistent("a stretch too short for one period")
        })?;
        let grid_a = resample(&clear_a[context.clone()], &fit, region_from - context.start, &grid);
        let interval_s = 1.0 / (self.frequency_hz * n as f64);
        let periods = grid_a
            .chunks_exact(n)
            .map(|period_a| Ok(Waveform::new(period_a.to_vec(), n, interval_s)?.measures()))
            .collect::<Result<Vec<_>>>()?;
        let halves = || grid_a.chunks_exact(n / 2);
        let mean_square =
            |part: &[f64]| part.iter().map(|a| a * a).sum::<f64>() / part.len() as f64;
        let peak = |part: &[f64]| part.iter().fold(0.0, |most: f64, a| most.max(a.abs()));
        let groups = self.is_window.then(|| {
            let highest = ((0.5 * self.period_samples).ceil() as usize).saturating_sub(1);
            HarmonicGroups::of(&grid_a, self.cycles, highest.min(50)).ok()
        });
        Ok(Measured {
            periods,
            halves_a2: halves().map(mean_square).collect(),
            half_peaks_a: halves().map(peak).collect(),
            rms_a: mean_square(&grid_a).sqrt(),
            groups: groups.flatten(),
            grid_a,
        })
    }
}

impl Measured {
    /// The window, when it is one.
    pub(super) fn window(&self, job: &Job, start_s: f64) -> Option<CycleWindow> {
        self.groups.clone().map(|groups| CycleWindow {
            start_s,
            frequency_hz: job.frequency_hz,
            cycles: job.cycles,
            rms_a: self.rms_a,
            groups,
        })
    }
}

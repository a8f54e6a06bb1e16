use std::f64::consts::TAU;

use rayon::prelude::*;

use crate::error::Result;

use super::super::Samples;
use super::super::resample::HALF_TAPS;
use super::job::{Job, Measured, RawPeriod};
use super::tracker::Tracker;
use super::{CycleWindow, HalfCycle, PeriodOptions, PeriodRow, PeriodSink, PeriodStart};

/// A start this part of a period after a rising zero counts as one.
const AT_ZERO_RATIO: f64 = 0.005;
/// A window that begins farther than this part of a period from a rising zero begins anew at the next:
/// the current was switched on, or jumped; less is drawn back bit by bit.
const ASTRAY_RATIO: f64 = 0.02;
/// Samples kept before the next period, for the interpolation.
const KEPT: usize = HALF_TAPS + 2;

/// Cuts a record that comes in blocks into periods, half cycles and windows.
///
/// Memory is that of a block and a window, whatever the length of the record. A stretch that ends in
/// a gap ends in single periods; its last window is incomplete and is left out. Where the fundamental
/// jumps, less than a period is skipped to the next rising zero.
#[derive(Debug)]
pub struct PeriodAnalyser {
    options: PeriodOptions,
    rate_hz: f64,
    samples_per_period: usize,
    tracker: Tracker,
    /// Samples of the present stretch that are still needed.
    buffer_a: Vec<f64>,
    /// Sample of the record that stands first in the buffer.
    buffer_first: u64,
    /// Where the next period begins, in samples of the buffer.
    position: Option<f64>,
    last_half: Option<Half>,
}

/// Receives what is measured together with what it was measured on.
pub(super) trait Observer {
    /// One period, its samples on the grid and as recorded.
    fn period(&mut self, row: &PeriodRow, grid_a: &[f64], raw: RawPeriod<'_>) -> Result<()>;
    /// One half cycle.
    fn half_cycle(&mut self, half: &HalfCycle) -> Result<()>;
    /// One window.
    fn window(&mut self, window: &CycleWindow) -> Result<()>;
    /// Some samples that the record does not give.
    fn gap(&mut self, first_sample: u64, samples: u64);
}

#[derive(Clone, Copy, Debug)]
struct Half {
    start_s: f64,
    mean_square_a2: f64,
    peak_a: f64,
}

impl PeriodAnalyser {
    /// An analyser for samples at a rate, beginning with a mains frequency near the true one.
    ///
    /// # Errors
    /// As [`PeriodOptions::checked`], and `OutOfRange` for the rate.
    pub fn new(rate_hz: f64, frequency_hz: f64, options: PeriodOptions) -> Result<Self> {
        options.checked()?;
        Samples::SAMPLE_RATE_HZ.check(rate_hz)?;
        PeriodOptions::FREQUENCY_HZ.check(frequency_hz)?;
        let range_hz = (options.min_frequency_hz, options.max_frequency_hz);
        let start_hz = options.frequency_hz.unwrap_or(frequency_hz);
        let tracker = Tracker::new(rate_hz, start_hz, options.frequency_hz.is_some(), range_hz);
        Ok(Self {
            samples_per_period: options.grid(tracker.period_samples()),
            options,
            rate_hz,
            tracker,
            buffer_a: Vec::new(),
            buffer_first: 0,
            position: None,
            last_half: None,
        })
    }

    /// The mains frequency to begin with: the caller's, or that of a steady part of the samples.
    ///
    /// # Errors
    /// As [`Samples::cut`].
    pub fn frequency_of(samples: &Samples, options: &PeriodOptions) -> Result<f64> {
        options.checked()?;
        match options.frequency_hz {
            Some(hz) => Ok(hz),
            None => Ok(samples.cut(&options.cutting())?.value.frequency_hz),
        }
    }

    /// Takes the next block of samples in amperes, gaps as NaN.
    ///
    /// # Errors
    /// `OutOfRange` for a sample beyond what a current may be; whatever the sink returns.
    pub fn push(&mut self, block_a: &[f64], sink: &mut dyn PeriodSink) -> Result<()> {
        self.observe(block_a, &mut Forward(sink))
    }

    /// Takes the rest: the periods after the last whole window.
    ///
    /// # Errors
    /// As [`Self::push`].
    pub fn finish(mut self, sink: &mut dyn PeriodSink) -> Result<()> {
        self.end_stretch(&mut Forward(sink))
    }

    pub(super) fn observe(&mut self, block_a: &[f64], observer: &mut dyn Observer) -> Result<()> {
        for part_a in block_a.chunk_by(|a, b| a.is_nan() == b.is_nan()) {
            if part_a[0].is_nan() {
                self.end_stretch(observer)?;
                observer.gap(self.buffer_first, part_a.len() as u64);
                self.buffer_first += part_a.len() as u64;
            } else {
                self.buffer_a.extend_from_slice(part_a);
                self.advance(false, observer)?;
            }
        }
        Ok(())
    }

    /// What is left of a stretch; the next one begins anew.
    pub(super) fn end_stretch(&mut self, observer: &mut dyn Observer) -> Result<()> {
        self.advance(true, observer)?;
        self.buffer_first += self.buffer_a.len() as u64;
        self.buffer_a.clear();
        self.position = None;
        self.last_half = None;
        Ok(())
    }

    fn advance(&mut self, at_end: bool, observer: &mut dyn Observer) -> Result<()> {
        let mut jobs = Vec::new();
        while let Some(job) = self.next_job(at_end) {
            self.position = Some(job.end());
            jobs.push(job);
        }
        let buffer_a = &self.buffer_a;
        let measured: Vec<Result<Measured>> =
            jobs.par_iter().map(|job| job.measure(buffer_a)).collect();
        for (job, measured) in jobs.iter().zip(measured) {
            self.deliver(job, &measured?, observer)?;
        }
        let keep_from = self.position.map_or(0, |at| (at as usize).saturating_sub(KEPT));
        let keep_from = keep_from.min(self.buffer_a.len());
        self.buffer_a.drain(..keep_from);
        self.buffer_first += keep_from as u64;
        self.position = self.position.map(|at| at - keep_from as f64);
        Ok(())
    }

    /// The next whole window, or at the end of a stretch the periods that are left.
    fn next_job(&mut self, at_end: bool) -> Option<Job> {
        let cycles = super::CycleWindow::cycles_at(self.tracker.frequency_hz);
        let last = self.buffer_a.len().checked_sub(1)? as f64;
        let margin =
            if at_end { 0.0 } else { 0.02 * cycles as f64 * self.tracker.period_samples() };
        let needed = cycles as f64 * self.tracker.period_samples() + margin;
        let ahead = if at_end { 0.0 } else { HALF_TAPS as f64 + 2.0 };
        if self.position.is_none() {
            if !at_end && last < needed + self.tracker.period_samples() + ahead {
                return None;
            }
            self.position = Some(self.anchor(cycles));
        }
        let mut start = self.position?;
        if !at_end && last < start + needed + ahead {
            return None;
        }
        let whole = |period: f64| ((last - start) / period + 1e-6).floor().max(0.0) as usize;
        let held = whole(self.tracker.period_samples()).min(cycles);
        let looked_at = held & !1;
        let looked = if looked_at >= 4 {
            self.tracker.look(&self.buffer_a, start, looked_at)
        } else {
            self.tracker.unseen()
        };
        let cut_hz = match self.options.start {
            PeriodStart::RisingZero => self.tracker.pulled_hz(&looked, held.max(1)),
            PeriodStart::FirstSample => looked.frequency_hz,
        };
        let period_samples = self.rate_hz / cut_hz;
        let astray =
            self.options.start == PeriodStart::RisingZero && looked.is_astray(ASTRAY_RATIO);
        if astray {
            let turn = looked.phase_rad.map_or(0.0, |phase_rad| phase_rad.rem_euclid(TAU) / TAU);
            start += (1.0 - turn) * period_samples;
        }
        let count = ((last - start) / period_samples + 1e-6).floor().max(0.0) as usize;
        let count = count.min(cycles);
        (count > 0).then_some(Job {
            start,
            follows: !astray,
            period_samples,
            frequency_hz: looked.frequency_hz,
            tracked: looked.tracked,
            cycles: count,
            samples_per_period: self.samples_per_period,
            is_window: count == cycles,
        })
    }

    /// Where the first period of a stretch begins.
    fn anchor(&mut self, cycles: usize) -> f64 {
        let period = self.tracker.period_samples();
        let whole = ((self.buffer_a.len() as f64 - 1.0) / period).floor().max(0.0) as usize;
        let looked_at = whole.min(cycles) & !1;
        if self.options.start == PeriodStart::FirstSample || looked_at < 2 {
            return 0.0;
        }
        let looked = self.tracker.look(&self.buffer_a, 0.0, looked_at);
        let Some(phase_rad) = looked.phase_rad else { return 0.0 };
        let turn = phase_rad.rem_euclid(TAU) / TAU;
        if turn < AT_ZERO_RATIO { 0.0 } else { (1.0 - turn) * self.tracker.period_samples() }
    }

    fn deliver(
        &mut self,
        job: &Job,
        measured: &Measured,
        observer: &mut dyn Observer,
    ) -> Result<()> {
        let n = job.samples_per_period;
        let time_s = |periods: f64| {
            let at = job.start + periods * job.period_samples;
            (self.buffer_first as f64 + at) / self.rate_hz
        };
        let period_s = job.period_samples / self.rate_hz;
        if !job.follows {
            self.last_half = None;
        }
        for (k, measures) in measured.periods.iter().enumerate() {
            let row = PeriodRow {
                start_s: time_s(k as f64),
                frequency_hz: job.frequency_hz,
                tracked: job.tracked,
                measures: *measures,
            };
            let grid_a = &measured.grid_a[k * n..(k + 1) * n];
            observer.period(&row, grid_a, job.raw(&self.buffer_a, k))?;
            for half in 2 * k..2 * k + 2 {
                let this = Half {
                    start_s: time_s(0.5 * half as f64),
                    mean_square_a2: measured.halves_a2[half],
                    peak_a: measured.half_peaks_a[half],
                };
                if let Some(before) = self.last_half.replace(this) {
                    let mean_square_a2 = 0.5 * (before.mean_square_a2 + this.mean_square_a2);
                    observer.half_cycle(&HalfCycle {
                        start_s: before.start_s,
                        period_s,
                        rms_a: mean_square_a2.sqrt(),
                        peak_a: before.peak_a.max(this.peak_a),
                    })?;
                }
            }
        }
        match measured.window(job, time_s(0.0)) {
            Some(window) => observer.window(&window),
            None => Ok(()),
        }
    }
}

/// Hands rows on and drops the rest.
struct Forward<'s>(&'s mut dyn PeriodSink);

impl Observer for Forward<'_> {
    fn period(&mut self, row: &PeriodRow, _: &[f64], _: RawPeriod<'_>) -> Result<()> {
        self.0.period(row)
    }

    fn half_cycle(&mut self, half: &HalfCycle) -> Result<()> {
        self.0.half_cycle(half)
    }

    fn window(&mut self, window: &CycleWindow) -> Result<()> {
        self.0.window(window)
    }

    fn gap(&mut self, _: u64, _: u64) {}
}

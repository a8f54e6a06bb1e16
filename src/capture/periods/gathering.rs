use std::collections::VecDeque;

use crate::error::{Error, Result};

use super::super::events::{BandWatch, LevelWatch, RailWatch};
use super::super::{Event, EventKind};
use super::analyser::Observer;
use super::job::RawPeriod;
use super::{
    CycleWindow, Envelope, HalfCycle, HarmonicGroups, PeriodOptions, PeriodRow, PeriodSink,
    RecordSummary, SteadyPart,
};

/// Stretches in which record and RMS are kept for drawing.
const BUCKETS: usize = 4096;
/// Periods that wait until it is known that no change has begun in them, and while nothing is level.
const WAITING_LEVEL: usize = 2;
const WAITING: usize = 6;
/// A mean of this part of the RMS is worth a word. Our own choice: it moves the RMS by 0.005 %, and
/// the peak by 1 %.
const MEAN_RATIO: f64 = 0.01;
/// Spread of the few periods of a short record within which it is steady.
const SHORT_RATIO: f64 = 0.02;
/// Gaps listed one by one.
const MOST_GAPS: usize = 100;

/// Everything that is gathered on the way through a record.
pub(super) struct Gathering<'s> {
    rate_hz: f64,
    grid: usize,
    is_followed: bool,
    sink: &'s mut dyn PeriodSink,
    levels: LevelWatch,
    rails: RailWatch,
    band: BandWatch,
    waiting: VecDeque<(PeriodRow, Vec<f64>)>,
    steady: Option<SteadyPart>,
    gaps: Vec<Event>,
    last_gap_end: u64,
    next_sample: u64,
    steady_groups: Option<HarmonicGroups>,
    summary: RecordSummary,
}

impl<'s> Gathering<'s> {
    pub(super) fn new(
        rate_hz: f64,
        frequency_hz: f64,
        options: &PeriodOptions,
        sink: &'s mut dyn PeriodSink,
    ) -> Self {
        let period_samples = rate_hz / frequency_hz;
        let grid = options.grid(period_samples);
        Self {
            rate_hz,
            grid,
            is_followed: options.frequency_hz.is_none(),
            sink,
            levels: LevelWatch::new(),
            rails: RailWatch::default(),
            band: BandWatch::default(),
            waiting: VecDeque::new(),
            steady: None,
            gaps: Vec::new(),
            last_gap_end: 0,
            next_sample: 0,
            steady_groups: None,
            summary: RecordSummary {
                sample_rate_hz: rate_hz,
                samples: 0,
                missing_samples: 0,
                periods: 0,
                windows: 0,
                frequency_span_hz: None,
                frequency_ends_hz: None,
                rms_span_a: (f64::INFINITY, f64::NEG_INFINITY),
                window_rms_span_a: None,
                steady: None,
                all: SteadyPart::new(grid, 0.0),
                groups: None,
                envelope: Envelope::new(BUCKETS),
                rms_envelope: Envelope::new(BUCKETS),
                events: Vec::new(),
                highest_order: ((0.5 * period_samples).ceil() as usize).saturating_sub(1),
            },
        }
    }

    pub(super) fn samples(&mut self, block_a: &[f64]) {
        for i_a in block_a {
            self.summary.envelope.push(self.next_sample, *i_a);
            self.next_sample += 1;
        }
        self.summary.samples = self.next_sample;
    }

    /// Hands the periods on that have waited long enough, and drops those of a change.
    fn settle(&mut self) {
        if self.levels.is_changing() {
            self.waiting.clear();
            self.band.restart();
            self.close_steady();
            return;
        }
        let settled = self.levels.is_settled();
        let keep = if settled { WAITING_LEVEL } else { WAITING };
        while self.waiting.len() > keep {
            let (row, grid_a) =
                self.waiting.pop_front().expect("there are more than so many waiting");
            if settled {
                self.take_steady(&row, &grid_a);
            }
        }
    }

    fn take_steady(&mut self, row: &PeriodRow, grid_a: &[f64]) {
        let grid = self.grid;
        self.steady.get_or_insert_with(|| SteadyPart::new(grid, row.start_s)).add(row, grid_a);
    }

    fn close_steady(&mut self) {
        let Some(part) = self.steady.take() else { return };
        let longest = self.summary.steady.as_ref().map_or(0, SteadyPart::periods);
        // What does not flow is steady too, but stands for nothing.
        let flows = |part: &SteadyPart| part.rms_a() > 0.05 * self.summary.rms_span_a.1;
        let kept_flows = self.summary.steady.as_ref().is_some_and(flows);
        if (part.periods() > longest && (flows(&part) || !kept_flows))
            || (flows(&part) && !kept_flows)
        {
            self.summary.groups = self.steady_groups.take().or(self.summary.groups.take());
            self.summary.steady = Some(part);
        }
        self.steady_groups = None;
    }

    pub(super) fn finish(mut self) -> Result<RecordSummary> {
        if self.levels.is_settled() {
            while let Some((row, grid_a)) = self.waiting.pop_front() {
                self.take_steady(&row, &grid_a);
            }
        }
        self.close_steady();
        if self.summary.periods == 0 {
            return Err(Error::inconsistent("no whole period stands between the gaps"));
        }
        let (least_a, most_a) = self.summary.rms_span_a;
        let is_short = self.summary.periods <= WAITING as u64;
        if self.summary.steady.is_none() && is_short && most_a - least_a <= SHORT_RATIO * most_a {
            self.summary.steady = Some(self.summary.all.clone());
        }
        let mut events = self.levels.finish();
        events.extend(self.rails.finish());
        events.extend(self.band.finish(self.rate_hz));
        events.extend(self.gaps);
        events.extend(direct_current(self.summary.representative()));
        events.sort_by(|a, b| a.start_s.total_cmp(&b.start_s));
        self.summary.events = events;
        Ok(self.summary)
    }
}

impl Observer for Gathering<'_> {
    fn period(&mut self, row: &PeriodRow, grid_a: &[f64], raw: RawPeriod<'_>) -> Result<()> {
        let summary = &mut self.summary;
        summary.periods += 1;
        let rms_a = row.measures.dc.rms_a;
        summary.rms_span_a = (summary.rms_span_a.0.min(rms_a), summary.rms_span_a.1.max(rms_a));
        if row.tracked && self.is_followed {
            let hz = row.frequency_hz;
            let (least, most) = summary.frequency_span_hz.unwrap_or((hz, hz));
            summary.frequency_span_hz = Some((least.min(hz), most.max(hz)));
            let (first, _) = summary.frequency_ends_hz.unwrap_or((hz, hz));
            summary.frequency_ends_hz = Some((first, hz));
        }
        if summary.all.periods() == 0 {
            summary.all.start_s = row.start_s;
        }
        summary.all.add(row, grid_a);
        summary.rms_envelope.push((row.start_s * self.rate_hz).round() as u64, rms_a);
        let end_s = row.start_s + row.period_s();
        self.rails.add(raw.samples_a, row.start_s, end_s);
        if self.levels.is_settled() {
            self.band.add(raw.samples_a, raw.period_samples, row.start_s);
        } else {
            self.band.restart();
        }
        self.waiting.push_back((row.clone(), grid_a.to_vec()));
        self.sink.period(row)
    }

    fn half_cycle(&mut self, half: &HalfCycle) -> Result<()> {
        self.levels.add(half);
        self.settle();
        self.sink.half_cycle(half)
    }

    fn window(&mut self, window: &CycleWindow) -> Result<()> {
        let summary = &mut self.summary;
        summary.windows += 1;
        let (least_a, most_a) = summary.window_rms_span_a.unwrap_or((window.rms_a, window.rms_a));
        summary.window_rms_span_a = Some((least_a.min(window.rms_a), most_a.max(window.rms_a)));
        if summary.groups.is_none() {
            summary.groups = Some(window.groups.clone());
        }
        if self.levels.is_settled() && self.steady_groups.is_none() {
            self.steady_groups = Some(window.groups.clone());
        }
        self.sink.window(window)
    }

    fn gap(&mut self, first_sample: u64, samples: u64) {
        self.summary.missing_samples += samples;
        let start_s = first_sample as f64 / self.rate_hz;
        let end_s = Some((first_sample + samples) as f64 / self.rate_hz);
        let is_full = self.gaps.len() >= MOST_GAPS;
        match self.gaps.last_mut() {
            // One gap that two blocks share.
            Some(Event { end_s: last_end_s, kind: EventKind::Gap { samples: so_far }, .. })
                if self.last_gap_end == first_sample =>
            {
                *so_far += samples;
                *last_end_s = end_s;
            }
            _ if is_full => {}
            _ => self.gaps.push(Event { start_s, end_s, kind: EventKind::Gap { samples } }),
        }
        self.last_gap_end = first_sample + samples;
        self.levels.interrupted();
        self.band.restart();
        self.waiting.clear();
        self.close_steady();
    }
}

/// A mean that stays.
fn direct_current(part: &SteadyPart) -> Option<Event> {
    let (mean_a, rms_a) = (part.mean_a(), part.rms_a());
    let ratio = mean_a / rms_a;
    (rms_a > 0.0 && ratio.abs() > MEAN_RATIO).then_some(Event {
        start_s: part.start_s,
        end_s: Some(part.end_s),
        kind: EventKind::DirectCurrent { mean_a, ratio },
    })
}

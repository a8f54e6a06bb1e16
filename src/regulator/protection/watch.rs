use std::collections::VecDeque;

use super::super::HalfCycle;
use super::{Protection, ResetRule, Trip, TripCause};

/// A protection at work: it is shown one half cycle after the other and says when it acts.
#[derive(Clone, Debug)]
pub struct ProtectionWatch<'a> {
    protection: &'a Protection,
    rated_a: f64,
    seen: VecDeque<Seen>,
    stages: Vec<Timer>,
    open: Timer,
    last_s: Option<f64>,
}

#[derive(Clone, Copy, Debug)]
struct Seen {
    mean_square_a2: f64,
    arv_a: f64,
    peak_a: f64,
}

#[derive(Clone, Copy, Debug, Default)]
struct Timer {
    is_running: bool,
    run_s: f64,
}

impl Timer {
    /// Whether the delay is over.
    fn take(&mut self, is_wrong: bool, passed_s: f64, delay_s: f64, reset: ResetRule) -> bool {
        if is_wrong {
            if self.is_running {
                self.run_s += passed_s;
            }
            self.is_running = true;
            return self.run_s >= delay_s - super::protection::ROUNDING * passed_s;
        }
        self.is_running = false;
        self.run_s = match reset {
            ResetRule::AtOnce => 0.0,
            ResetRule::RunsBack => (self.run_s - passed_s).max(0.0),
        };
        false
    }
}

impl<'a> ProtectionWatch<'a> {
    /// A watch that has seen nothing yet.
    #[must_use]
    pub fn new(protection: &'a Protection, rated_a: f64) -> Self {
        Self {
            protection,
            rated_a,
            seen: VecDeque::with_capacity(protection.window_half_cycles),
            stages: vec![Timer::default(); protection.stages.len()],
            open: Timer::default(),
            last_s: None,
        }
    }

    /// The detector's number now; 0 before it has seen anything. A window that is not full yet counts
    /// as far as it goes.
    #[must_use]
    pub fn shown_a(&self) -> f64 {
        let count = self.seen.len().max(1) as f64;
        let mean = |pick: fn(&Seen) -> f64| self.seen.iter().map(pick).sum::<f64>() / count;
        let peak_a = self.seen.iter().map(|seen| seen.peak_a).fold(0.0, f64::max);
        let law = self.protection.law;
        law.shown_a(mean(|seen| seen.mean_square_a2), mean(|seen| seen.arv_a), peak_a)
    }

    /// Shows the next half cycle; the trip, when the protection acts at its end.
    pub fn take(&mut self, half: &HalfCycle) -> Option<Trip> {
        if self.seen.len() >= self.protection.window_half_cycles {
            self.seen.pop_front();
        }
        self.seen.push_back(Seen {
            mean_square_a2: half.half_cycle_rms_a * half.half_cycle_rms_a,
            arv_a: half.half_cycle_arv_a,
            peak_a: half.peak_a,
        });
        let passed_s = self.last_s.map_or(0.0, |last_s| half.time_s - last_s);
        self.last_s = Some(half.time_s);
        let shown_a = self.shown_a();
        let (rated_a, reset) = (self.rated_a, self.protection.reset);
        let mut cause = None;
        for (place, (stage, timer)) in
            self.protection.stages.iter().zip(&mut self.stages).enumerate()
        {
            // Equal to rounding is equal: the closed form says so too.
            let is_above = shown_a >= stage.pickup_ratio * rated_a * (1.0 - 1e-9);
            if timer.take(is_above, passed_s, stage.delay_s, reset) {
                cause = cause.or(Some(TripCause::Stage(place)));
            }
        }
        if let Some(open) = &self.protection.open_circuit {
            let is_open = half.target_a > 0.0 && shown_a < open.below_ratio * rated_a;
            if self.open.take(is_open, passed_s, open.delay_s, reset) {
                cause = cause.or(Some(TripCause::OpenCircuit));
            }
        }
        cause.map(|cause| Trip { time_s: half.time_s, cause, shown_a })
    }
}

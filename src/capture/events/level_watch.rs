use std::collections::VecDeque;

use super::super::HalfCycle;
use super::level_change::{Change, LevelChanges, OFF_RATIO};
use super::{Event, level};

/// Half cycles over which the present level is averaged: a drift slower than this is followed.
const LEVEL_HALVES: usize = 50;
/// Half cycles that must agree before a level counts as settled, and when more are at hand.
const SETTLE_HALVES: usize = 10;
const LONG_HALVES: usize = 100;
/// A deviation from the level that is a change: this part of it, and so many standard deviations of
/// its half cycles. Our own choice: a fifth of the way between neighbouring steps at least.
const CHANGE_RATIO: f64 = 0.02;
const CHANGE_SIGMAS: f64 = 6.0;
/// Spread within which half cycles agree.
const SETTLED_RATIO: f64 = 0.01;
/// The same against the level before: what is left of a current that was switched off is level.
const SETTLED_OF_BEFORE_RATIO: f64 = 0.004;

/// Half cycles before a beginning that say what was there.
const FEWEST_BEFORE: usize = 4;

/// Finds where the one-cycle RMS leaves one level and settles at another.
#[derive(Debug)]
pub(in super::super) struct LevelWatch {
    state: State,
    /// The last half cycles, the newest at the back.
    recent: VecDeque<HalfCycle>,
    changes: LevelChanges,
}

#[derive(Debug)]
enum State {
    /// Nothing is settled yet; there is no level before.
    Begin,
    Settled {
        halves: VecDeque<f64>,
        /// A first deviating half cycle; one alone is no change.
        suspect: Option<HalfCycle>,
    },
    Changing(Change),
}

impl LevelWatch {
    pub(in super::super) fn new() -> Self {
        Self { state: State::Begin, recent: VecDeque::new(), changes: LevelChanges::default() }
    }

    /// Whether the current is level at present.
    pub(in super::super) fn is_settled(&self) -> bool {
        matches!(&self.state, State::Settled { suspect: None, .. })
    }

    /// Whether a change is under way.
    pub(in super::super) fn is_changing(&self) -> bool {
        matches!(self.state, State::Changing(_))
    }

    pub(in super::super) fn add(&mut self, half: &HalfCycle) {
        self.recent.push_back(*half);
        if self.recent.len() > LONG_HALVES {
            self.recent.pop_front();
        }
        match &mut self.state {
            State::Begin => {
                if let Some(change) = self.beginning() {
                    self.recent.drain(..self.recent.len() - 2);
                    self.state = State::Changing(change);
                } else if let Some((halves, _)) = self.settled(0.0, 0.0, self.recent.len()) {
                    self.state = State::Settled { halves, suspect: None };
                }
            }
            State::Settled { halves, suspect } => {
                let (level_a, sigma_a) = level::mean_and_deviation(halves);
                let room_a = (CHANGE_RATIO * level_a).max(CHANGE_SIGMAS * sigma_a);
                let away = (half.rms_a - level_a).abs() > room_a;
                match (away, suspect.take()) {
                    (false, _) => {
                        halves.push_back(half.rms_a);
                        if halves.len() > LEVEL_HALVES {
                            halves.pop_front();
                        }
                    }
                    (true, None) => *suspect = Some(*half),
                    (true, Some(first)) => {
                        let mut change = Change::new(first, level_a, sigma_a);
                        change.add(half);
                        self.recent = VecDeque::from([first, *half]);
                        self.state = State::Changing(change);
                    }
                }
            }
            State::Changing(change) => {
                change.add(half);
                let (from_a, sigma_a, count) = (change.from_rms_a, change.sigma_a, change.halves);
                let change = change.clone();
                if let Some((halves, since_s)) = self.settled(from_a, sigma_a, count) {
                    let (to_a, _) = level::mean_and_deviation(&halves);
                    self.changes.settled(&change, to_a, Some(since_s));
                    self.state = State::Settled { halves, suspect: None };
                }
            }
        }
    }

    /// Samples are missing here: what was level may not be any more.
    pub(in super::super) fn interrupted(&mut self) {
        self.conclude();
        self.state = State::Begin;
        self.recent.clear();
    }

    /// What happened, in the order of time.
    pub(in super::super) fn finish(mut self) -> Vec<Event> {
        self.conclude();
        self.changes.finish()
    }

    /// Current that begins before what was there, noise perhaps, could settle.
    fn beginning(&self) -> Option<Change> {
        let before = self.recent.len().checked_sub(2).filter(|count| *count >= FEWEST_BEFORE)?;
        let earlier: VecDeque<f64> = self.recent.iter().take(before).map(|h| h.rms_a).collect();
        let usual_a = level::median(&earlier);
        let (first, second) = (self.recent[before], self.recent[before + 1]);
        let begins = |half: &HalfCycle| OFF_RATIO * half.rms_a > usual_a;
        (begins(&first) && begins(&second)).then(|| {
            let mut change = Change::new(first, usual_a, 0.0);
            change.add(&second);
            change
        })
    }

    /// A change that the record or a gap cuts off.
    fn conclude(&mut self) {
        if let State::Changing(change) = &self.state {
            let last: VecDeque<f64> =
                self.recent.iter().rev().take(2).map(|half| half.rms_a).collect();
            let (to_a, _) = level::mean_and_deviation(&last);
            self.changes.settled(&change.clone(), to_a, None);
        }
    }

    /// The half cycles of a new level and since when, when the last ones agree; `count` have passed
    /// since the change began.
    fn settled(&self, from_a: f64, sigma_a: f64, count: usize) -> Option<(VecDeque<f64>, f64)> {
        let last: Vec<&HalfCycle> = self.recent.iter().rev().take(SETTLE_HALVES).collect();
        if last.len() < SETTLE_HALVES || count < SETTLE_HALVES {
            return None;
        }
        let halves: VecDeque<f64> = last.iter().rev().map(|half| half.rms_a).collect();
        let (mean_a, _) = level::mean_and_deviation(&halves);
        let (least_a, most_a) = level::ends(&halves);
        // The noise of what hardly flows says nothing about that of a current.
        let flows = from_a > OFF_RATIO * mean_a;
        let noise_ratio = if flows { sigma_a / from_a } else { 0.0 };
        let room_a = (SETTLED_RATIO * mean_a)
            .max(CHANGE_SIGMAS * noise_ratio * mean_a)
            .max(SETTLED_OF_BEFORE_RATIO * from_a);
        if most_a - least_a <= room_a {
            return Some((halves, last[SETTLE_HALVES - 1].start_s));
        }
        // Noise keeps single half cycles apart: then two long runs must have one mean.
        if self.recent.len() < LONG_HALVES || count < LONG_HALVES {
            return None;
        }
        let run = |from: usize| -> VecDeque<f64> {
            self.recent.iter().skip(from).take(LONG_HALVES / 2).map(|half| half.rms_a).collect()
        };
        let (early, late) = (run(0), run(LONG_HALVES / 2));
        let (early_a, late_a) =
            (level::mean_and_deviation(&early).0, level::mean_and_deviation(&late).0);
        ((early_a - late_a).abs() <= SETTLED_RATIO * late_a)
            .then(|| (late, self.recent[LONG_HALVES / 2].start_s))
    }
}

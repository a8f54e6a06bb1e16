use super::super::HalfCycle;
use super::{Event, EventKind};

/// Below this part of the other level there is no current to speak of.
pub(super) const OFF_RATIO: f64 = 0.05;
/// Levels farther apart than this are two.
const STEP_RATIO: f64 = 0.02;
/// A one-cycle RMS this far above the settled one is an inrush.
const INRUSH_RATIO: f64 = 1.2;
/// Longer without current is switched off and on again and no dropout.
const LONGEST_DROPOUT_S: f64 = 60.0;
/// The first half cycle that deviates holds the change in its last half: its middle is the best guess.
const CHANGE_IN_CYCLE: f64 = 0.75;

/// A change under way.
#[derive(Clone, Debug)]
pub(super) struct Change {
    first: HalfCycle,
    pub(super) from_rms_a: f64,
    pub(super) sigma_a: f64,
    pub(super) halves: usize,
    most_rms_a: f64,
    least_rms_a: f64,
    most_peak_a: f64,
    /// Half cycles below half of the level before.
    low_halves: usize,
}

impl Change {
    pub(super) fn new(first: HalfCycle, from_rms_a: f64, sigma_a: f64) -> Self {
        let mut change = Self {
            first,
            from_rms_a,
            sigma_a,
            halves: 0,
            most_rms_a: 0.0,
            least_rms_a: f64::INFINITY,
            most_peak_a: 0.0,
            low_halves: 0,
        };
        change.add(&first);
        change
    }

    pub(super) fn add(&mut self, half: &HalfCycle) {
        self.halves += 1;
        self.most_rms_a = self.most_rms_a.max(half.rms_a);
        self.least_rms_a = self.least_rms_a.min(half.rms_a);
        self.most_peak_a = self.most_peak_a.max(half.peak_a);
        self.low_halves += usize::from(half.rms_a < 0.5 * self.from_rms_a);
    }

    fn start_s(&self) -> f64 {
        self.first.start_s + CHANGE_IN_CYCLE * self.first.period_s
    }

    /// A cycle is below half of its RMS when less than a quarter of it carries current: an
    /// interruption of n half cycles makes n − 1 of those.
    fn low_s(&self) -> f64 {
        0.5 * self.first.period_s * (self.low_halves + 1) as f64
    }
}

/// Names changes of level.
#[derive(Debug, Default)]
pub(super) struct LevelChanges {
    events: Vec<Event>,
    /// Without current since then.
    off: Option<Off>,
    most_level_a: f64,
}

#[derive(Clone, Copy, Debug)]
struct Off {
    start_s: f64,
    from_rms_a: f64,
    least_rms_a: f64,
}

impl LevelChanges {
    /// A change has come to its end at a level, or was cut off there (`since_s` is `None`).
    pub(super) fn settled(&mut self, change: &Change, to_a: f64, since_s: Option<f64>) {
        let from_a = change.from_rms_a;
        self.most_level_a = self.most_level_a.max(from_a).max(to_a);
        if from_a < OFF_RATIO * to_a {
            self.on(change, to_a, since_s);
        } else if to_a < OFF_RATIO * from_a {
            let least_rms_a = change.least_rms_a;
            let off = Off { start_s: change.start_s(), from_rms_a: from_a, least_rms_a };
            self.off.get_or_insert(off);
        } else if (to_a - from_a).abs() > STEP_RATIO * from_a {
            let kind = EventKind::StepChange { from_rms_a: from_a, to_rms_a: to_a };
            self.push(change.start_s(), since_s, kind);
            if to_a > from_a {
                self.inrush(change, to_a, since_s);
            }
        } else if change.least_rms_a < OFF_RATIO.max(2.0 * change.sigma_a / from_a) * from_a {
            let kind = EventKind::Dropout { from_rms_a: from_a, least_rms_a: change.least_rms_a };
            let start_s = change.start_s();
            self.push(start_s, Some(start_s + change.low_s()), kind);
        } else {
            let above = change.most_rms_a - from_a > from_a - change.least_rms_a;
            let extreme_rms_a = if above { change.most_rms_a } else { change.least_rms_a };
            let kind = EventKind::Excursion { level_rms_a: from_a, extreme_rms_a };
            self.push(change.start_s(), since_s, kind);
        }
    }

    /// All of them; what concerns only the noise of a record without current is left out.
    pub(super) fn finish(mut self) -> Vec<Event> {
        if let Some(off) = self.off.take() {
            self.switched_off(off);
        }
        let least_a = OFF_RATIO * self.most_level_a;
        self.events.retain(|event| match event.kind {
            EventKind::StepChange { from_rms_a, to_rms_a } => from_rms_a.max(to_rms_a) >= least_a,
            EventKind::Excursion { level_rms_a, extreme_rms_a } => {
                level_rms_a.max(extreme_rms_a) >= least_a
            }
            EventKind::Dropout { from_rms_a, .. } => from_rms_a >= least_a,
            _ => true,
        });
        self.events.sort_by(|a, b| a.start_s.total_cmp(&b.start_s));
        self.events
    }

    fn on(&mut self, change: &Change, to_a: f64, since_s: Option<f64>) {
        let on_s = change.start_s();
        match self.off.take() {
            Some(off) if on_s - off.start_s <= LONGEST_DROPOUT_S => {
                let Off { start_s, from_rms_a, least_rms_a } = off;
                self.push(start_s, Some(on_s), EventKind::Dropout { from_rms_a, least_rms_a });
                if (to_a - from_rms_a).abs() > STEP_RATIO * from_rms_a {
                    let kind = EventKind::StepChange { from_rms_a, to_rms_a: to_a };
                    self.push(on_s, since_s, kind);
                }
            }
            off => {
                if let Some(off) = off {
                    self.switched_off(off);
                }
                self.push(on_s, since_s, EventKind::SwitchedOn { to_rms_a: to_a });
            }
        }
        self.inrush(change, to_a, since_s);
    }

    fn switched_off(&mut self, off: Off) {
        let kind = EventKind::SwitchedOff { from_rms_a: off.from_rms_a };
        self.push(off.start_s, None, kind);
    }

    fn inrush(&mut self, change: &Change, settled_rms_a: f64, since_s: Option<f64>) {
        let most_rms_a = change.most_rms_a;
        if most_rms_a > INRUSH_RATIO * settled_rms_a {
            let kind = EventKind::Inrush { peak_a: change.most_peak_a, most_rms_a, settled_rms_a };
            self.push(change.start_s(), since_s, kind);
        }
    }

    fn push(&mut self, start_s: f64, end_s: Option<f64>, kind: EventKind) {
        // A change within one half cycle is over before its best guess.
        let end_s = end_s.map(|end_s| end_s.max(start_s));
        self.events.push(Event { start_s, end_s, kind });
    }
}

//! The vertical scale of the errors: the room, which decides, stays large.

use crate::assess::Survey;

use super::error_column::{Column, NUMBER_PX};
use super::errors::room_percent;
use super::{Axis, Ink, Item, Tick, Weight, font};

/// Errors beyond so many times the widest room are put beyond the scale.
const REACH_RATIO: f64 = 2.5;

/// Room a division takes at least.
const TICK_PX: f64 = 40.0;

/// Linear between `low` and `high` (percent), and a strip without scale beyond either end where an
/// error lies out of reach.
pub(super) struct ErrorScale {
    pub(super) low: f64,
    pub(super) high: f64,
    reach: f64,
    strip: f64,
    below: bool,
    above: bool,
    pub(super) px_per_percent: f64,
    pub(super) upright: bool,
}

/// Pixels kept free for marks and their numbers.
struct Sizes {
    /// Beyond the outermost mark on the scale.
    spare_px: f64,
    /// Depth of a strip.
    strip_px: f64,
    /// How far into the strip its marks stand.
    mark_px: f64,
    /// From a mark to the middle of its number, or to the near end of an upright one.
    away_px: f64,
}

impl Sizes {
    const LEVEL: Self = Self { spare_px: 34.0, strip_px: 62.0, mark_px: 26.0, away_px: 22.0 };
    const UPRIGHT: Self = Self { spare_px: 76.0, strip_px: 94.0, mark_px: 18.0, away_px: 15.0 };
    /// Beyond the outermost mark where a strip follows: its number may reach into the strip.
    const BEFORE_STRIP_PX: f64 = 12.0;
}

impl ErrorScale {
    pub(super) fn of(survey: &Survey, columns: &[Column], upright: bool, height_px: f64) -> Self {
        let rooms = || survey.results().iter().map(|result| room_percent(&result.step));
        let (low, high) = rooms().fold((0.0_f64, 0.0_f64), |(a, b), (c, d)| (a.min(c), b.max(d)));
        let reach = REACH_RATIO * high.max(-low);
        let errors = || {
            survey.results().iter().flat_map(|result| {
                columns.iter().map(|column| 100.0 * result.judgements[column.meter].error_ratio)
            })
        };
        let near = errors().filter(|error| error.abs() <= reach);
        let (low, high) = near.fold((low, high), |(a, b), error| (a.min(error), b.max(error)));
        let below = errors().any(|error| error < -reach);
        let above = errors().any(|error| error > reach);

        let sizes = Self::sizes(upright);
        let spare_px = |strip| if strip { Sizes::BEFORE_STRIP_PX } else { sizes.spare_px };
        let strip_px = |strip| if strip { sizes.strip_px } else { 0.0 };
        let (under_px, over_px) = (spare_px(below), spare_px(above));
        let linear_px = height_px - under_px - over_px - strip_px(below) - strip_px(above);
        let px_per_percent = linear_px / (high - low);
        Self {
            low: low - under_px / px_per_percent,
            high: high + over_px / px_per_percent,
            reach,
            strip: sizes.strip_px / px_per_percent,
            below,
            above,
            px_per_percent,
            upright,
        }
    }

    fn sizes(upright: bool) -> Sizes {
        if upright { Sizes::UPRIGHT } else { Sizes::LEVEL }
    }

    pub(super) fn axis(&self) -> Axis {
        let linear_px = (self.high - self.low) * self.px_per_percent;
        let ticks = (linear_px / TICK_PX) as usize;
        let mut axis = Axis::numbers("error of the reading", "%", self.low, self.high, ticks);
        let mut beyond = |at| axis.ticks.push(Tick { at, text: "beyond".into(), line: false });
        if self.above {
            beyond(self.high + 0.5 * self.strip);
            axis.to += self.strip;
        }
        if self.below {
            beyond(self.low - 0.5 * self.strip);
            axis.from -= self.strip;
        }
        axis
    }

    pub(super) fn strips(&self, steps: usize) -> Vec<Item> {
        let x = (-0.5, steps as f64 - 0.5);
        let strip = |y| Item::Area { x, y, ink: Ink::Aside, edge: None };
        let above = self.above.then(|| strip((self.high, self.high + self.strip)));
        let below = self.below.then(|| strip((self.low - self.strip, self.low)));
        above.into_iter().chain(below).collect()
    }

    /// Where an error is drawn, and whether that is on the scale.
    pub(super) fn place(&self, error: f64) -> (f64, bool) {
        let into = Self::sizes(self.upright).mark_px / self.px_per_percent;
        if error > self.reach {
            (self.high + into, false)
        } else if error < -self.reach {
            (self.low - into, false)
        } else {
            (error, true)
        }
    }

    /// In percent of error: from a mark to its number, and how far the number reaches from there
    /// back towards the mark and on.
    pub(super) fn number_reach(&self, text: &str) -> (f64, f64, f64) {
        let along_px = font::width_px(text, NUMBER_PX, Weight::Bold);
        let (back_px, on_px) = if self.upright { (0.0, along_px) } else { (13.0, 10.0) };
        let percent = |px: f64| px / self.px_per_percent;
        (percent(Self::sizes(self.upright).away_px), percent(back_px), percent(on_px))
    }
}

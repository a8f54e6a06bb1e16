//! Time along a record: the unit that suits its length, and envelopes as curves.

use crate::capture::{Envelope, RecordSummary};

use super::super::{Axis, Item, Stroke};

/// Columns of a panel as wide as the canvas.
const COLUMNS: usize = 1100;

/// Seconds, minutes or hours.
#[derive(Clone, Copy, Debug)]
pub(super) struct Clock {
    unit_s: f64,
    name: &'static str,
    end_s: f64,
}

impl Clock {
    pub(super) fn of(summary: &RecordSummary) -> Self {
        let end_s = summary.duration_s();
        let (unit_s, name) = match end_s {
            s if s < 1.0 => (1e-3, "ms"),
            s if s < 600.0 => (1.0, "s"),
            s if s < 36_000.0 => (60.0, "min"),
            _ => (3600.0, "h"),
        };
        Self { unit_s, name, end_s }
    }

    pub(super) fn axis(&self) -> Axis {
        Axis::numbers("time", self.name, 0.0, self.at(self.end_s), 9).without_grid()
    }

    pub(super) fn at(&self, time_s: f64) -> f64 {
        time_s / self.unit_s
    }

    /// The smallest and the largest value of each column as one curve up and down, broken where the
    /// record has nothing.
    pub(super) fn curves(&self, envelope: &Envelope, rate_hz: f64, stroke: Stroke) -> Vec<Item> {
        let ahead =
            envelope.buckets().map(|(key, _)| key).last().map_or(0, |key| key + envelope.width());
        let joined = (ahead / envelope.width()).div_ceil(COLUMNS as u64).max(1);
        let mut items = Vec::new();
        let mut points: Vec<(f64, f64)> = Vec::new();
        let mut column = None;
        for (key, bucket) in envelope.buckets() {
            let number = key / envelope.width() / joined;
            let middle = (number as f64 + 0.5) * (joined * envelope.width()) as f64;
            let x = self.at((middle / rate_hz).min(self.end_s));
            match column {
                Some(last) if last == number => {
                    let at = points.len() - 2;
                    points[at].1 = points[at].1.min(bucket.least);
                    points[at + 1].1 = points[at + 1].1.max(bucket.most);
                    continue;
                }
                // Short periods leave columns between them empty; a gap is longer.
                Some(last) if number > last + self.bridge(envelope, rate_hz, joined) => {
                    items.push(Item::Curve { points: std::mem::take(&mut points), stroke });
                }
                _ => {}
            }
            column = Some(number);
            points.extend([(x, bucket.least), (x, bucket.most)]);
        }
        items.push(Item::Curve { points, stroke });
        items
    }

    /// Columns that three periods at 40 Hz span, and one.
    fn bridge(&self, envelope: &Envelope, rate_hz: f64, joined: u64) -> u64 {
        (0.075 * rate_hz / (joined * envelope.width()) as f64) as u64 + 1
    }
}

//! Time along a record: the unit that suits its length, and envelopes as curves.

use crate::capture::{Bucket, Envelope, RecordSummary};

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
        let columns = columns(envelope);
        let joined = columns.joined * envelope.width();
        let bridge = self.bridge(joined, rate_hz);
        let mut items = Vec::new();
        let mut points: Vec<(f64, f64)> = Vec::new();
        let mut before = None;
        for (number, bucket) in columns.buckets {
            // Short periods leave columns between them empty; a gap is longer.
            if before.is_some_and(|before| number > before + bridge) {
                items.push(Item::Curve { points: std::mem::take(&mut points), stroke });
            }
            before = Some(number);
            let middle = (number as f64 + 0.5) * joined as f64;
            let x = self.at((middle / rate_hz).min(self.end_s));
            // From the value before to the nearer one first: no needle that is not there.
            let last = points.last().map_or(bucket.least, |(_, y)| *y);
            let upwards = (last - bucket.least).abs() <= (last - bucket.most).abs();
            let (first, second) =
                if upwards { (bucket.least, bucket.most) } else { (bucket.most, bucket.least) };
            points.push((x, first));
            if bucket.count > 1 {
                points.push((x, second));
            }
        }
        items.push(Item::Curve { points, stroke });
        items
    }

    /// Columns that three periods at 40 Hz span, and one.
    fn bridge(&self, column_samples: u64, rate_hz: f64) -> u64 {
        (0.075 * rate_hz / column_samples as f64) as u64 + 1
    }
}

/// The stretches of an envelope joined to no more columns than a panel has.
struct Columns {
    joined: u64,
    buckets: Vec<(u64, Bucket)>,
}

fn columns(envelope: &Envelope) -> Columns {
    let last = envelope.buckets().map(|(key, _)| key / envelope.width()).last().unwrap_or(0);
    let joined = (last + 1).div_ceil(COLUMNS as u64).max(1);
    let mut buckets: Vec<(u64, Bucket)> = Vec::new();
    for (key, bucket) in envelope.buckets() {
        let number = key / envelope.width() / joined;
        match buckets.last_mut() {
            Some((known, joined)) if *known == number => *joined = joined.with(&bucket),
            _ => buckets.push((number, bucket)),
        }
    }
    Columns { joined, buckets }
}

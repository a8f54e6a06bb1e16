//! One meter's marks in the error figure.

use crate::assess::{Fitness, Judgement, Survey};
use crate::meter::Detector;

use super::error_scale::ErrorScale;
use super::{Anchor, Dash, Face, Ink, Item, Marker, Stroke, TextLook, Weight, numbers};

/// Size of the numbers at the marks.
pub(super) const NUMBER_PX: f64 = 17.0;
/// A number pushed farther than this would no longer belong to its mark.
const PUSH_MOST_PX: f64 = 9.0;

/// One column in every step's place.
pub(super) struct Column {
    pub(super) meter: usize,
    pub(super) detector: Detector,
    pub(super) names: Vec<String>,
}

/// Meters of the same law that agree at every step share a column.
pub(super) fn columns(survey: &Survey) -> Vec<Column> {
    let mut columns: Vec<Column> = Vec::new();
    let same = |a: usize, b: usize| {
        survey.results().iter().all(|result| {
            let bits = |meter: usize| result.judgements[meter].error_ratio.to_bits();
            bits(a) == bits(b)
        })
    };
    for (index, meter) in survey.meters().iter().enumerate() {
        let known = columns
            .iter_mut()
            .find(|column| column.detector == meter.detector && same(column.meter, index));
        match known {
            Some(column) => column.names.push(meter.name.clone()),
            None => columns.push(Column {
                meter: index,
                detector: meter.detector,
                names: vec![meter.name.clone()],
            }),
        }
    }
    columns
}

impl Column {
    pub(super) fn items(
        &self,
        x: f64,
        judgement: &Judgement,
        room: (f64, f64),
        scale: &ErrorScale,
    ) -> Vec<Item> {
        let error = 100.0 * judgement.error_ratio;
        let ink = Ink::of(self.detector.indication());
        let (y, on_scale) = scale.place(error);
        let knee = match on_scale {
            true => y,
            false if error > 0.0 => scale.high,
            false => scale.low,
        };
        let stem = Stroke::solid(ink, 4.0);
        let mut items = vec![Item::Curve { points: vec![(x, 0.0), (x, knee)], stroke: stem }];
        if !on_scale {
            let points = vec![(x, knee), (x, y)];
            items.push(Item::Curve { points, stroke: stem.with_dash(Dash::Dotted) });
        }
        items.push(Item::Mark {
            at: (x, y),
            offset_px: (0.0, 0.0),
            marker: Marker::of(self.detector),
            ink,
            face: match judgement.fitness {
                Fitness::Fit => Face::Full,
                Fitness::Tight => Face::Half,
                Fitness::NotFit | Fitness::Blind => Face::Open,
            },
            radius_px: if scale.upright { 7.0 } else { 9.0 },
        });
        let decimals = if error.abs() < 99.95 { 1 } else { 0 };
        items.push(self.number((x, y), numbers::signed(error, decimals), room, scale));
        items
    }

    /// The number stands beyond the mark, seen from zero. Where it would lie on the edge of the
    /// room, it moves on a little; where that does not help, it stands on the other side of zero,
    /// where its stem is not, if there it is clear.
    fn number(
        &self,
        (x, y): (f64, f64),
        text: String,
        room: (f64, f64),
        scale: &ErrorScale,
    ) -> Item {
        let (away, back, on) = scale.number_reach(&text);
        let outwards = if text.starts_with('−') { -1.0 } else { 1.0 };
        let inside = y > room.0 && y < room.1;
        let edge = if outwards > 0.0 { room.1 } else { room.0 };
        let beyond = y + outwards * away;
        let (near, far) = (beyond - outwards * back, beyond + outwards * on);
        let hit = inside && (near.min(far)..=near.max(far)).contains(&edge);
        // Far enough beyond the edge to be clear of its line.
        let cleared = edge + outwards * back;
        let pushed_px = (cleared - beyond).abs() * scale.px_per_percent;
        let opposite = -outwards * away.min(16.0 / scale.px_per_percent);
        let end = opposite - outwards * on;
        let opposite_free = end > room.0 && end < room.1;
        let (at, up) = if !hit {
            (beyond, outwards > 0.0)
        } else if pushed_px <= PUSH_MOST_PX {
            (cleared, outwards > 0.0)
        } else if opposite_free {
            (opposite, outwards < 0.0)
        } else {
            (beyond, outwards > 0.0)
        };
        Item::Label {
            at: (x, at),
            offset_px: (0.0, 0.0),
            anchor: match (scale.upright, up) {
                (false, _) => Anchor::Middle,
                (true, true) => Anchor::Start,
                (true, false) => Anchor::End,
            },
            text,
            look: TextLook::new(NUMBER_PX, Weight::Bold, Ink::of(self.detector.indication())),
            upright: scale.upright,
        }
    }
}

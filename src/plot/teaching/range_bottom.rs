//! What a data sheet lets a meter be off by, against the bands of the steps.

use super::super::layout::content_top_px;
use super::super::{
    Anchor, Axis, Face, Figure, Ink, Item, KeyEntry, Marker, Panel, Rect, Stroke, TextLook, Weight,
    numbers, ticks,
};
use super::mark;

/// A step: its nominal, and half the width of its band against it.
#[derive(Clone, Copy, Debug)]
pub struct RangeBottomStep {
    /// Number of the step.
    pub step: u32,
    /// Nominal current, RMS.
    pub nominal_a: f64,
    /// Way to the nearer edge of the band, over the nominal.
    pub room_ratio: f64,
    /// Limit of error of the meter there, over the reading; `None` where its sheet says nothing.
    pub limit_ratio: Option<f64>,
}

/// Limits of error of two meters over the reading, with the room the bands leave at each step. The
/// first meter is the one in question. Of each: its name, and (reading in A, limit over reading) where
/// the sheet says something. `lowest_a` is the reading below which the first says nothing.
#[must_use]
pub fn range_bottom_figure(
    meters: &[(String, Vec<(f64, f64)>)],
    steps: &[RangeBottomStep],
    full_scale_a: f64,
    lowest_a: Option<f64>,
) -> Figure {
    let caption = lesson(steps, full_scale_a, lowest_a);
    let inks = [(Ink::Average, Marker::Square), (Ink::Rank(2), Marker::Circle)];
    let mut key: Vec<KeyEntry> = meters
        .iter()
        .zip(inks)
        .map(|((name, _), (ink, _))| KeyEntry::mark(Marker::Lying, ink, name.clone()))
        .collect();
    key.push(KeyEntry::mark(Marker::Lying, Ink::RoomEdge, "room to the nearer edge of the band"));
    let top_px = content_top_px(&caption, &key) + 38.0;
    let (from_a, to_a) = (1.0, 8.0);
    let room_percent = steps.iter().map(|step| 100.0 * step.room_ratio).fold(0.0, f64::max);
    let end = ticks::round_outwards(4.0 * room_percent, 8);
    let mut items = Vec::new();
    if let Some(lowest_a) = lowest_a.filter(|lowest_a| *lowest_a > from_a) {
        items.push(Item::Area {
            x: (from_a, lowest_a.min(to_a)),
            y: (0.0, end),
            ink: Ink::Aside,
            edge: None,
        });
        items.push(note(
            (from_a, end),
            (14.0, 18.0),
            Anchor::Start,
            "its sheet promises nothing here",
        ));
    }
    for step in steps {
        let at = (step.nominal_a, 100.0 * step.room_ratio);
        items.push(Item::Area {
            x: (step.nominal_a - 0.09, step.nominal_a + 0.09),
            y: (0.0, at.1),
            ink: Ink::Room,
            edge: Some(Stroke::solid(Ink::RoomEdge, 3.0)),
        });
        items.push(Item::Label {
            at,
            offset_px: (0.0, -15.0),
            anchor: Anchor::Middle,
            text: format!("step {}", step.step),
            look: TextLook::new(17.0, Weight::Bold, Ink::Text),
            upright: false,
        });
    }
    for ((_, points), (ink, marker)) in meters.iter().zip(inks) {
        let points: Vec<(f64, f64)> = points
            .iter()
            .map(|(x, ratio)| (*x, 100.0 * ratio))
            .filter(|(x, y)| *x >= from_a && *x <= to_a && *y <= end)
            .collect();
        for step in steps {
            let near = points.iter().min_by(|a, b| {
                (a.0 - step.nominal_a).abs().total_cmp(&(b.0 - step.nominal_a).abs())
            });
            if let Some(at) = near.filter(|at| (at.0 - step.nominal_a).abs() < 0.051) {
                items.push(mark(*at, marker, ink, Face::Full, 7.0));
            }
        }
        items.push(Item::Curve { points, stroke: Stroke::solid(ink, 3.5) });
    }
    Figure {
        title: format!("A meter at the bottom of its {}\u{a0}A range", numbers::plain(full_scale_a, 0)),
        caption,
        key,
        panels: vec![Panel {
            area: Rect::new(108.0, top_px, 1150.0, 562.0),
            x: Axis::numbers("true RMS current (bars: the steps)", "A", from_a, to_a, 8)
                .without_grid(),
            y: Axis::numbers("limit of error, either sign", "% of the reading", 0.0, end, 8),
            items,
        }],
        zooms: Vec::new(),
        footnote: "Invented data sheets: share of the reading plus counts, and half a step of the display; \
                   a meter may be better than its limits, and nobody knows by how much."
            .into(),
    }
}

fn note(at: (f64, f64), offset_px: (f64, f64), anchor: Anchor, text: &str) -> Item {
    Item::Label {
        at,
        offset_px,
        anchor,
        text: text.to_owned(),
        look: TextLook::new(17.0, Weight::Bold, Ink::Text),
        upright: false,
    }
}

fn lesson(steps: &[RangeBottomStep], full_scale_a: f64, lowest_a: Option<f64>) -> String {
    let by_nominal =
        |a: &&RangeBottomStep, b: &&RangeBottomStep| a.nominal_a.total_cmp(&b.nominal_a);
    let (Some(dim), Some(top)) = (steps.iter().min_by(by_nominal), steps.iter().max_by(by_nominal))
    else {
        return "There is no step to set.".into();
    };
    let told = |step: &RangeBottomStep| {
        let limit = step.limit_ratio.map_or_else(
            || "anything: its sheet promises nothing there".to_owned(),
            |ratio| format!("±{}\u{a0}%", numbers::plain(100.0 * ratio, 1)),
        );
        format!(
            "at {} it may be off by {limit} (the band leaves {}\u{a0}%)",
            numbers::amperes(step.nominal_a),
            numbers::plain(100.0 * step.room_ratio, 1)
        )
    };
    let from = lowest_a.map_or_else(String::new, |lowest_a| {
        format!(" Specified from {} on.", numbers::amperes(lowest_a))
    });
    format!(
        "On its {}\u{a0}A range {}, and {}.{from}",
        numbers::plain(full_scale_a, 0),
        told(top),
        told(dim)
    )
}

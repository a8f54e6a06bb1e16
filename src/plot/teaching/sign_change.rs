//! Where an average-responding meter reads low and where it reads high.

use crate::regulator::LoadCurve;

use super::super::layout::content_top_px;
use super::super::{
    Anchor, Axis, Callout, Dash, Face, Figure, Ink, Item, Marker, Panel, Rect, Stroke, TextLook,
    Weight, numbers,
};

const RIGHT_PX: f64 = 960.0;
const COLUMN_PX: f64 = 40.0;
const MARKERS: [Marker; 5] =
    [Marker::Circle, Marker::Square, Marker::Triangle, Marker::Diamond, Marker::Wedge];
/// Half widths of lines, by rank: curves that lie on each other are told apart.
const DASHES: [Dash; 5] = [Dash::Solid, Dash::Dashed, Dash::Solid, Dash::Dotted, Dash::Dashed];

/// The error of an average-responding meter over load, a curve for each step, with the sides of zero
/// named. `origin` says where the regulator's values come from and ends without a full stop.
#[must_use]
pub fn sign_change_figure(curves: &[LoadCurve], origin: &str) -> Figure {
    let drawn = &curves[..curves.len().min(MARKERS.len())];
    let caption = lesson(drawn);
    let top_px = content_top_px(&caption, &[]) + 38.0;
    let points = || drawn.iter().flat_map(course).map(|(_, error)| error);
    let (low, high) = points().fold((0.0_f64, 0.0_f64), |(l, h), e| (l.min(e), h.max(e)));
    let (low, high) = (low - 0.25, high + 0.45);
    let mut x = Axis::numbers("load", "% of the rated resistance", 0.0, 100.0, 10).without_grid();
    if let Some(tick) = x.ticks.first_mut() {
        tick.text = "short".into();
    }
    let side = |y: (f64, f64), ink: Ink| Item::Area { x: (0.0, 100.0), y, ink, edge: None };
    let name = |at: (f64, f64), offset_px: (f64, f64), anchor: Anchor, text: &str| Item::Label {
        at,
        offset_px,
        anchor,
        text: text.to_owned(),
        look: TextLook::new(18.0, Weight::Bold, Ink::Text),
        upright: false,
    };
    let mut items = vec![
        side((0.0, high), Ink::Aside),
        name(
            (0.0, high),
            (14.0, 18.0),
            Anchor::Start,
            "reads high: set by it, the lamps are too dim",
        ),
        name(
            (100.0, low),
            (-14.0, -18.0),
            Anchor::End,
            "reads low: set by it, the lamps are too bright",
        ),
    ];
    let mut entries = Vec::new();
    let mut marks = Vec::new();
    for (rank, curve) in drawn.iter().enumerate() {
        let ink = Ink::Rank(rank as u8);
        let points = course(curve);
        for at in [points.first(), points.last()].into_iter().flatten() {
            marks.push(Item::Mark {
                at: *at,
                offset_px: (0.0, 0.0),
                marker: MARKERS[rank],
                ink,
                face: Face::Full,
                radius_px: 7.0,
            });
        }
        if let Some((x, y)) = points.last() {
            let look = TextLook::new(18.0, Weight::Bold, Ink::Text);
            let text = format!("step {} {}\u{a0}%", curve.step, numbers::signed(*y, 1));
            entries.push(Callout { x: *x, y: *y, lines: vec![(text, look)], ink });
        }
        let stroke = Stroke::solid(ink, 3.0).with_dash(DASHES[rank]);
        items.push(Item::Curve { points, stroke });
    }
    items.extend(marks);
    items.push(Item::Callouts { offset_px: COLUMN_PX, entries });
    Figure {
        title: "Set shorted, checked loaded: the meter's error changes its sign".into(),
        caption,
        key: Vec::new(),
        panels: vec![Panel {
            area: Rect::new(108.0, top_px, RIGHT_PX, 562.0),
            x,
            y: Axis::numbers("error of an average-responding meter", "%", low, high, 8),
            items,
        }],
        zooms: Vec::new(),
        footnote: format!(
            "Resistive load, true RMS held at each step's nominal. Solved circuit of {origin}."
        ),
    }
}

/// Load and error in percent wherever the step is held.
fn course(curve: &LoadCurve) -> Vec<(f64, f64)> {
    let held = curve
        .points
        .iter()
        .filter_map(|point| Some((100.0 * point.load_ratio, 100.0 * point.average_error_ratio?)));
    held.collect()
}

/// The load at which the error passes through zero, between two points; `None` when it never does.
fn crossing(points: &[(f64, f64)]) -> Option<f64> {
    points.windows(2).find_map(|pair| {
        let ((x0, y0), (x1, y1)) = (pair[0], pair[1]);
        (y0 < 0.0 && y1 >= 0.0).then(|| x0 + (x1 - x0) * y0 / (y0 - y1))
    })
}

fn lesson(curves: &[LoadCurve]) -> String {
    let swing = |points: &[(f64, f64)]| {
        let ends = points.first().zip(points.last());
        ends.map_or(0.0, |(first, last)| last.1 - first.1)
    };
    let widest = curves
        .iter()
        .map(|curve| (curve.step, course(curve)))
        .max_by(|(_, a), (_, b)| swing(a).total_cmp(&swing(b)));
    let Some((step, points)) = widest else {
        return "No step is held on any of these loads.".into();
    };
    let (Some(first), Some(last)) = (points.first(), points.last()) else {
        return "No step is held on any of these loads.".into();
    };
    let told = |value: f64| format!("{}\u{a0}%", numbers::signed(value, 1));
    let zeros: Vec<f64> = curves.iter().filter_map(|curve| crossing(&course(curve))).collect();
    let (least, most) = zeros
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), zero| (l.min(*zero), h.max(*zero)));
    let percent = |load: f64| numbers::plain(load, 0);
    let between = match crossing(&points) {
        None => "it is right at no load".to_owned(),
        Some(own) => format!("it is right only near {}\u{a0}% load", percent(own)),
    };
    let all = if zeros.len() > 1 && percent(least) != percent(most) {
        format!(
            " The sign changes between {} and {}\u{a0}% on the steps drawn.",
            percent(least),
            percent(most)
        )
    } else {
        String::new()
    };
    format!(
        "On step {step} an average-responding meter is off by {} shorted and by {} at {}\u{a0}% load; {between}.{all}",
        told(first.1),
        told(last.1),
        numbers::plain(last.0, 0)
    )
}

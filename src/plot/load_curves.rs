//! What an average-responding meter makes of each step, and the crest factor, over load.

use std::f64::consts::SQRT_2;

use crate::regulator::{LoadCurve, LoadPoint};

use super::layout::content_top_px;
use super::numbers;
use super::{
    Axis, Callout, Dash, Face, Figure, Ink, Item, Marker, Panel, Rect, Stroke, TextLook, Weight,
};

const BOTTOM_PX: f64 = 570.0;
/// From a panel to its column of labels.
const COLUMN_PX: f64 = 34.0;
/// Curves beyond so many have no room for their labels.
const MOST: usize = 12;
/// Marks on a curve, about.
const MARKS: usize = 4;
const MARKERS: [Marker; 5] =
    [Marker::Circle, Marker::Square, Marker::Triangle, Marker::Diamond, Marker::Wedge];

/// Error of an average-responding meter and crest factor against load, one curve for each step in
/// both panels. A step that is out of reach on a load has no point there, and the footnote says so.
///
/// `origin` says where the regulator's values come from and ends without a full stop.
#[must_use]
pub fn load_curves_figure(curves: &[LoadCurve], origin: &str) -> Figure {
    let drawn = &curves[..curves.len().min(MOST)];
    let caption = lesson(drawn);
    let top_px = content_top_px(&caption, &[]) + 38.0;
    let error = |point: &LoadPoint| point.average_error_ratio.map(|ratio| 100.0 * ratio);
    let crest = |point: &LoadPoint| point.crest_factor;
    let (least, most) = with_room(span(drawn, error, (0.0, 0.0)));
    let errors = panel(
        drawn,
        error,
        Rect::new(108.0, top_px, 488.0, BOTTOM_PX),
        Axis::numbers("average-responding meter, error", "%", least, most, 8),
        (0.0, "reads right"),
    );
    let (least, most) = with_room(span(drawn, crest, (SQRT_2, SQRT_2)));
    let crests = panel(
        drawn,
        crest,
        Rect::new(668.0, top_px, 1048.0, BOTTOM_PX),
        crest_axis(least, most),
        (SQRT_2, "sine: √2"),
    );
    Figure {
        title: "The load decides how far an average-responding meter is off".into(),
        caption,
        key: Vec::new(),
        panels: vec![errors, crests],
        zooms: Vec::new(),
        footnote: footnote(curves, drawn.len(), origin),
    }
}

/// Room beyond the outermost values, so that a label fits between a level and the panel's edge.
fn with_room((least, most): (f64, f64)) -> (f64, f64) {
    let room = 0.08 * (most - least).max(0.02);
    (least - room, most + room)
}

/// The crest factor has no unit; the axis says what it is a ratio of.
fn crest_axis(from: f64, to: f64) -> Axis {
    Axis::numbers("crest factor, peak", "RMS values", from, to, 8)
}

fn span(
    curves: &[LoadCurve],
    value: impl Fn(&LoadPoint) -> Option<f64>,
    start: (f64, f64),
) -> (f64, f64) {
    curves
        .iter()
        .flat_map(|curve| &curve.points)
        .filter_map(value)
        .fold(start, |(least, most), value| (least.min(value), most.max(value)))
}

fn panel(
    curves: &[LoadCurve],
    value: impl Fn(&LoadPoint) -> Option<f64>,
    area: Rect,
    y: Axis,
    (level, name): (f64, &str),
) -> Panel {
    let loads = curves.iter().flat_map(|curve| &curve.points).map(|point| 100.0 * point.load_ratio);
    let end = loads.fold(100.0, f64::max);
    let mut x = Axis::numbers("load", "% of the rated resistance", 0.0, end, 5).without_grid();
    if let Some(tick) = x.ticks.first_mut() {
        tick.text = "short".into();
    }
    let mut items = vec![Item::Level {
        y: level,
        stroke: Stroke::solid(Ink::TrueRms, 2.0).with_dash(Dash::Dashed),
        label: Some((name.to_owned(), TextLook::new(17.0, Weight::Bold, Ink::TrueRms))),
    }];
    let mut entries = Vec::new();
    let mut marks = Vec::new();
    for (rank, curve) in curves.iter().enumerate() {
        let ink = Ink::Rank((rank % MARKERS.len()) as u8);
        let every = curve.points.len().div_ceil(MARKS).max(1);
        let mut last = None;
        let mut points = Vec::new();
        for (index, point) in curve.points.iter().enumerate() {
            let Some(y) = value(point) else {
                // Out of reach: the curve ends here and may begin again.
                items.push(course(std::mem::take(&mut points), ink));
                continue;
            };
            let at = (100.0 * point.load_ratio, y);
            points.push(at);
            last = Some(at);
            // Not all at the same loads, so that marks of near curves do not hide each other.
            if index % every == (rank * every / MARKERS.len() + every / 2) % every {
                marks.push(Item::Mark {
                    at,
                    offset_px: (0.0, 0.0),
                    marker: MARKERS[rank % MARKERS.len()],
                    ink,
                    face: Face::Full,
                    radius_px: 6.0,
                });
            }
        }
        items.push(course(points, ink));
        if let Some((x, y)) = last {
            let look = TextLook::new(18.0, Weight::Bold, Ink::Text);
            let lines = vec![(format!("step {}", curve.step), look)];
            entries.push(Callout { x, y, lines, ink });
        }
    }
    items.extend(marks);
    items.push(Item::Callouts { offset_px: COLUMN_PX, entries });
    Panel { area, x, y, items }
}

fn course(points: Vec<(f64, f64)>, ink: Ink) -> Item {
    Item::Curve { points, stroke: Stroke::solid(ink, 3.0) }
}

/// First and last load of a curve at which the step is held, with the errors there in percent.
fn first_and_last(curve: &LoadCurve) -> Option<(LoadPoint, LoadPoint)> {
    let held = |point: &&LoadPoint| point.average_error_ratio.is_some();
    let first = curve.points.iter().find(held)?;
    let last = curve.points.iter().rev().find(held)?;
    Some((*first, *last))
}

fn lesson(curves: &[LoadCurve]) -> String {
    let swing = |(first, last): &(LoadPoint, LoadPoint)| {
        let error = |point: &LoadPoint| point.average_error_ratio.unwrap_or(0.0);
        (error(last) - error(first)).abs()
    };
    let widest = curves
        .iter()
        .filter_map(|curve| Some((curve.step, first_and_last(curve)?)))
        .max_by(|(_, a), (_, b)| swing(a).total_cmp(&swing(b)));
    let Some((step, (first, last))) = widest else {
        return "No step is within reach on any of these loads.".to_owned();
    };
    let told = |point: &LoadPoint| {
        let ratio = point.average_error_ratio.unwrap_or(0.0);
        let side = if ratio < 0.0 { "low" } else { "high" };
        let size = numbers::plain(100.0 * ratio.abs(), 1);
        format!("{size}\u{a0}% {side} {}", load_words(point.load_ratio))
    };
    format!(
        "On step {step} an average-responding meter reads {} and {}.",
        told(&first),
        told(&last)
    )
}

fn load_words(load_ratio: f64) -> String {
    if load_ratio <= 0.0 {
        "on a short".to_owned()
    } else {
        format!("at {}\u{a0}% load", numbers::plain(100.0 * load_ratio, 0))
    }
}

fn footnote(curves: &[LoadCurve], drawn: usize, origin: &str) -> String {
    let mut text = String::from("Resistive load, true RMS held at each step's nominal. ");
    let mut gaps = Vec::new();
    for curve in curves {
        let lost: Vec<f64> = curve
            .points
            .iter()
            .filter(|point| point.average_error_ratio.is_none())
            .map(|point| point.load_ratio)
            .collect();
        if let (Some(from), Some(to)) = (lost.first(), lost.last()) {
            gaps.push(format!(
                "step {} {} to {}\u{a0}%",
                curve.step,
                numbers::plain(100.0 * from, 0),
                numbers::plain(100.0 * to, 0)
            ));
        }
    }
    if !gaps.is_empty() {
        text.push_str(&format!("Out of reach: {}. ", gaps.join(", ")));
    }
    if drawn < curves.len() {
        text.push_str(&format!("Drawn: {drawn} of {} steps. ", curves.len()));
    }
    text.push_str(&format!("Solved circuit of {origin}."));
    text
}

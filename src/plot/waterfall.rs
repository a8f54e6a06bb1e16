//! The error of one reading, cause by cause.

use crate::meter::{Cause, Detector, SimulatedReading};
use crate::regulator::Step;

use super::errors::room_percent;
use super::layout::content_top_px;
use super::{
    Anchor, Axis, Dash, Figure, Ink, Item, KeyEntry, Panel, Rect, Stroke, TextLook, Weight, numbers,
};

/// Half the width of a bar, against the distance of two.
const HALF_BAR: f64 = 0.36;
/// An error smaller than this is drawn as nothing, in percent.
const NOTHING_PERCENT: f64 = 0.005;
/// A bar lower than this share of the panel shows no direction.
const FLAT_RATIO: f64 = 0.05;
/// Half of what a number below a bar takes of the panel, with its distance from the bar.
const NUMBER_RATIO: f64 = 0.035;

/// The error of a reading as a waterfall: each cause begins where the one before it ended, and the last
/// bar is the whole error.
///
/// With a step, the errors its band forgives are shaded. `meter` and `origin` name the meter and the
/// current; `origin` ends without a full stop.
#[must_use]
pub fn waterfall_figure(
    reading: &SimulatedReading,
    meter: &str,
    detector: Detector,
    step: Option<&Step>,
    origin: &str,
) -> Figure {
    let key = key(detector, step.is_some());
    let caption = lesson(reading, meter);
    let top_px = content_top_px(&caption, &key) + 36.0;
    let area = Rect::new(108.0, top_px, 1174.0, 566.0);
    let room = step.map(room_percent);
    let levels = levels(reading);
    let (least, most) = span(&levels, room);
    let mut items = Vec::new();
    let last = Cause::ALL.len() as f64;
    if let Some(room) = room {
        let edge = Some(Stroke::solid(Ink::RoomEdge, 2.0));
        items.push(Item::Area { x: (-0.5, last + 0.5), y: room, ink: Ink::Room, edge });
    }
    items.push(Item::Level { y: 0.0, stroke: Stroke::solid(Ink::TrueRms, 2.0), label: None });
    for (index, pair) in levels.windows(2).enumerate() {
        items.extend(bar(index as f64, (pair[0], pair[1]), Ink::Lighter, most - least, room));
        // From the end of one cause to the beginning of the next.
        let from = index as f64 + HALF_BAR;
        let points = vec![(from, pair[1]), (from + 1.0 - 2.0 * HALF_BAR, pair[1])];
        let stroke = Stroke::solid(Ink::Muted, 1.5).with_dash(Dash::Dotted);
        items.push(Item::Curve { points, stroke });
    }
    let whole = levels.last().copied().unwrap_or(0.0);
    items.extend(bar(last, (0.0, whole), Ink::of(detector.indication()), most - least, room));
    let names: Vec<String> = Cause::ALL
        .iter()
        .map(|cause| cause.words().replacen(' ', "\n", 1))
        .chain(["whole\nerror".to_owned()])
        .collect();
    Figure {
        title: format!("Why the number is off: {meter}"),
        caption,
        key,
        panels: vec![Panel {
            area,
            x: Axis::names("cause, in the order in which the current passes the meter", "", names),
            y: Axis::numbers("shown minus true", "% of the true RMS", least, most, 7),
            items,
        }],
        zooms: Vec::new(),
        footnote: format!("Simulated from a data sheet. Current: {origin}."),
    }
}

/// The error in percent before the first cause and after each.
fn levels(reading: &SimulatedReading) -> Vec<f64> {
    let true_a = reading.breakdown.true_a();
    let percent = |value_a: f64| {
        if true_a > 0.0 { 100.0 * (value_a / true_a - 1.0) } else { 0.0 }
    };
    std::iter::once(0.0)
        .chain(Cause::ALL.into_iter().map(|cause| percent(reading.breakdown.after_a(cause))))
        .collect()
}

fn span(levels: &[f64], room: Option<(f64, f64)>) -> (f64, f64) {
    let (low, high) = room.unwrap_or((0.0, 0.0));
    let least = levels.iter().copied().fold(low.min(0.0), f64::min);
    let most = levels.iter().copied().fold(high.max(0.0), f64::max);
    // Room for a number beyond the outermost bar.
    let more = 0.14 * (most - least).max(0.1);
    (least - more, most + more)
}

/// A bar with its number: beyond its end, but a bar too low to be seen as a direction has it above.
fn bar(
    x: f64,
    (from, to): (f64, f64),
    ink: Ink,
    height: f64,
    room: Option<(f64, f64)>,
) -> Vec<Item> {
    let change = to - from;
    let (left, right) = (x - HALF_BAR, x + HALF_BAR);
    let mut items = Vec::new();
    let is_nothing = change.abs() < NOTHING_PERCENT;
    if is_nothing {
        let stroke = Stroke::solid(Ink::Muted, 1.5).with_dash(Dash::Dotted);
        items.push(Item::Curve { points: vec![(left, to), (right, to)], stroke });
    } else {
        let y = (from.min(to), from.max(to));
        items.push(Item::Area { x: (left, right), y, ink, edge: None });
        items.push(Item::Curve {
            points: vec![(left, from), (left, to), (right, to), (right, from), (left, from)],
            stroke: Stroke::solid(if ink == Ink::Lighter { Ink::Current } else { ink }, 2.0),
        });
    }
    let (text, weight, text_ink) = if is_nothing {
        ("0".to_owned(), Weight::Regular, Ink::Muted)
    } else {
        (numbers::signed(change, 2), Weight::Bold, Ink::Text)
    };
    // A number on the line of the room's edge could not be read.
    let at_edge = room
        .is_some_and(|(low, _)| (to - low - NUMBER_RATIO * height).abs() < NUMBER_RATIO * height);
    let downwards = change < -FLAT_RATIO * height && !at_edge;
    // A number above must clear the line of no error when it stands just below that.
    let above = from.max(to);
    let above = if above < 0.0 && above > -FLAT_RATIO * height { 0.0 } else { above };
    items.push(Item::Label {
        at: (x, if downwards { to } else { above }),
        offset_px: (0.0, if downwards { 15.0 } else { -15.0 }),
        anchor: Anchor::Middle,
        text,
        look: TextLook::new(18.0, weight, text_ink),
        upright: false,
    });
    items
}

fn key(detector: Detector, has_room: bool) -> Vec<KeyEntry> {
    let mut key = vec![
        KeyEntry::shade(Ink::Lighter, "what one cause adds"),
        KeyEntry::shade(Ink::of(detector.indication()), "the whole error"),
    ];
    if has_room {
        key.push(KeyEntry::shade(Ink::Room, "errors the band forgives"));
    }
    key
}

fn lesson(reading: &SimulatedReading, meter: &str) -> String {
    let breakdown = &reading.breakdown;
    let Some(total) = breakdown.total_error_ratio() else {
        return format!("There is no current for {meter} to read.");
    };
    let largest = breakdown.largest();
    let share = breakdown.error_ratio(largest).unwrap_or(0.0);
    format!(
        "{} flow and it shows {}: {}\u{a0}% off. The largest part, {}\u{a0}%, comes from the {}.",
        numbers::amperes(breakdown.true_a()),
        reading.shown().map_or("overload".to_owned(), |shown| numbers::amperes(shown.shown_a())),
        numbers::signed(100.0 * total, 2),
        numbers::signed(100.0 * share, 2),
        largest.words()
    )
}

use crate::capture::{Event, RecordSummary};

use super::super::layout::content_top_px;
use super::super::{
    Anchor, Axis, Face, Figure, Ink, Item, KeyEntry, Marker, Panel, Rect, Stroke, TextLook, Weight,
};
use super::super::{numbers, ticks};
use super::clock::Clock;

/// Events that are numbered in the panel.
const MOST_EVENTS: usize = 12;

/// The whole record, no peak lost, with the stretch that stands for it and numbered events.
///
/// `name` says which record it is.
#[must_use]
pub fn record_figure(summary: &RecordSummary, name: &str) -> Figure {
    let clock = Clock::of(summary);
    let part = summary.representative();
    let events: Vec<&Event> = summary.events.iter().take(MOST_EVENTS).collect();
    let caption = caption(summary, &events);
    let mut key = vec![KeyEntry::shade(Ink::Current, "smallest to largest value")];
    if summary.steady.is_some() {
        key.push(KeyEntry::shade(Ink::Room, "longest steady stretch"));
    }
    if !events.is_empty() {
        key.push(KeyEntry::mark(Marker::Triangle, Ink::Average, "what happened, by its number"));
    }
    let (least_a, most_a) = summary
        .envelope
        .buckets()
        .fold((0.0_f64, 0.0_f64), |(low, high), (_, b)| (low.min(b.least), high.max(b.most)));
    let reach_a = least_a.abs().max(most_a).max(f64::MIN_POSITIVE);
    let end_a = ticks::round_outwards(1.25 * reach_a, 12);
    let mut items = Vec::new();
    if summary.steady.is_some() {
        items.push(Item::Area {
            x: (clock.at(part.start_s), clock.at(part.end_s)),
            y: (-end_a, end_a),
            ink: Ink::Room,
            edge: None,
        });
    }
    let line = Stroke::solid(Ink::Current, 1.5);
    items.extend(clock.curves(&summary.envelope, summary.sample_rate_hz, line));
    for (number, event) in (1..).zip(&events) {
        let at = (clock.at(event.start_s), 1.1 * reach_a);
        items.push(Item::Mark {
            at,
            offset_px: (0.0, 0.0),
            marker: Marker::Triangle,
            ink: Ink::Average,
            face: Face::Full,
            radius_px: 7.0,
        });
        items.push(Item::Label {
            at,
            offset_px: (0.0, -18.0 - 16.0 * f64::from((number + 1) % 2)),
            anchor: Anchor::Middle,
            text: number.to_string(),
            look: TextLook::new(16.0, Weight::Bold, Ink::Average),
            upright: false,
        });
    }
    let area = Rect::new(108.0, content_top_px(&caption, &key) + 38.0, 1170.0, 570.0);
    let y = Axis::numbers("current", "A", -end_a, end_a, 9);
    Figure {
        title: format!("The whole record: {name}"),
        caption,
        key,
        panels: vec![Panel { area, x: clock.axis(), y, items }],
        zooms: Vec::new(),
        footnote: format!(
            "{} samples at {}\u{a0}Hz, {} missing. Each column shows its smallest and its largest sample.",
            summary.samples,
            numbers::plain(summary.sample_rate_hz, 0),
            summary.missing_samples
        ),
    }
}

fn caption(summary: &RecordSummary, events: &[&Event]) -> String {
    let part = summary.representative();
    let steady = match &summary.steady {
        Some(_) => format!(
            "{} periods in a row stay at {}.",
            part.periods(),
            numbers::amperes(part.rms_a())
        ),
        None => "The current is nowhere steady.".to_owned(),
    };
    if events.is_empty() {
        return format!("{steady} Nothing happened.");
    }
    let told: Vec<String> = (1..)
        .zip(events)
        .map(|(number, event)| format!("{number} {}", event.kind.key().replace('-', " ")))
        .collect();
    format!("{steady} What happened: {}.", told.join(", "))
}

use crate::capture::RecordSummary;
use crate::regulator::Step;

use super::super::layout::content_top_px;
use super::super::{Axis, Dash, Figure, Ink, Item, KeyEntry, Panel, Rect, Stroke};
use super::super::{numbers, ticks};
use super::clock::Clock;

/// RMS of every period over the record, against the band of a step.
///
/// `name` says which record it is; without a step the RMS stands alone.
#[must_use]
pub fn rms_figure(summary: &RecordSummary, step: Option<&Step>, name: &str) -> Figure {
    let clock = Clock::of(summary);
    let (least_a, most_a) = summary.rms_span_a;
    let caption = format!(
        "Single periods lie between {}\u{a0}A and {}\u{a0}A.{}",
        numbers::plain(least_a, 3),
        numbers::plain(most_a, 3),
        step.map_or(String::new(), |step| format!(
            " The band of step {} goes from {} to {}.",
            step.number,
            numbers::amperes(step.band.low_a()),
            numbers::amperes(step.band.high_a())
        ))
    );
    let mut key = vec![KeyEntry::shade(Ink::Current, "RMS of single periods")];
    let ends = step.map_or((least_a, most_a), |step| {
        (least_a.min(step.band.low_a()), most_a.max(step.band.high_a()))
    });
    let room_a = 0.12 * (ends.1 - ends.0).max(0.01 * ends.1).max(f64::MIN_POSITIVE);
    // A record that begins without current shows zero, not a little less.
    let from_a = if ends.0 < 0.3 * ends.1 { 0.0 } else { ends.0 - room_a };
    let to_a = if from_a > 0.0 { ends.1 + room_a } else { ticks::round_outwards(1.08 * ends.1, 9) };
    let end = clock.at(summary.duration_s());
    let mut items = Vec::new();
    if let Some(step) = step {
        key.push(KeyEntry::shade(
            Ink::Room,
            format!(
                "band of step {}, its nominal {} dotted",
                step.number,
                numbers::amperes(step.nominal.a())
            ),
        ));
        items.push(Item::Area {
            x: (0.0, end),
            y: (step.band.low_a(), step.band.high_a()),
            ink: Ink::Room,
            edge: Some(Stroke::solid(Ink::RoomEdge, 2.0)),
        });
    }
    let line = Stroke::solid(Ink::Current, 2.0);
    items.extend(clock.curves(&summary.rms_envelope, summary.sample_rate_hz, line));
    if let Some(step) = step {
        items.push(Item::Level {
            y: step.nominal.a(),
            stroke: Stroke::solid(Ink::RoomEdge, 1.5).with_dash(Dash::Dotted),
            label: None,
        });
    }
    let area = Rect::new(108.0, content_top_px(&caption, &key) + 38.0, 1170.0, 570.0);
    Figure {
        title: format!("RMS over time: {name}"),
        caption,
        key,
        panels: vec![Panel {
            area,
            x: clock.axis(),
            y: Axis::numbers("true RMS of one period", "A", from_a, to_a, 9),
            items,
        }],
        zooms: Vec::new(),
        footnote: match step {
            Some(step) => format!("{} periods. Band: {}.", summary.periods, step.source),
            None => format!("{} periods.", summary.periods),
        },
    }
}

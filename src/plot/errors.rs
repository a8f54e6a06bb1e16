//! The error of each meter at each step, against the room the bands leave.

use crate::assess::Survey;
use crate::regulator::Step;

use super::error_column::{Column, columns};
use super::error_scale::ErrorScale;
use super::layout::content_top_px;
use super::numbers;
use super::{Axis, Face, Figure, Ink, Item, KeyEntry, Marker, Panel, Rect, Stroke};

/// Left end of the panel: the word "beyond" fits beside it.
const LEFT_PX: f64 = 108.0;
/// A column narrower than this takes its number upright.
const LEVEL_NUMBER_PX: f64 = 60.0;
/// A column narrower than this takes no number at all, so no more meters are drawn.
const COLUMN_LEAST_PX: f64 = 19.0;
/// Share of a step's place that is used; the rest keeps the steps apart.
const SLOT_RATIO: f64 = 0.92;
/// A step's place narrower than this has no room for the numbers of its band.
const ROOM_NUMBERS_PX: f64 = 136.0;

/// The error of each meter by step in percent, with the room the step's band leaves: the errors
/// with which trimming by that meter still ends inside the band.
///
/// Meters of the same law that agree at every step share a column. Errors far beyond the room are
/// drawn beyond the scale and carry their number.
#[must_use]
pub fn error_figure(survey: &Survey) -> Figure {
    let mut columns = columns(survey);
    let steps = survey.results().len();
    let wide_px = 1174.0 - LEFT_PX;
    let slot_px = wide_px / steps.max(1) as f64;
    let used_px = SLOT_RATIO * slot_px;
    let all = columns.len();
    columns.truncate(((used_px / COLUMN_LEAST_PX) as usize).max(1));
    let column_px = used_px / columns.len().max(1) as f64;
    let upright = column_px < LEVEL_NUMBER_PX;

    let key = key(&columns);
    let caption = lesson(survey, columns.len(), all);
    let top_px = content_top_px(&caption, &key) + 36.0;
    let area = Rect::new(LEFT_PX, top_px, LEFT_PX + wide_px, 526.0);
    let scale = ErrorScale::of(survey, &columns, upright, area.height_px());
    let mut items = scale.strips(steps);
    for (slot, result) in survey.results().iter().enumerate() {
        let room = room_percent(&result.step);
        items.push(room_item(slot as f64, room));
        for (index, column) in columns.iter().enumerate() {
            let from_left_px = (index as f64 + 0.5) * column_px;
            let x = slot as f64 - 0.5 * SLOT_RATIO + from_left_px / slot_px;
            let judgement = &result.judgements[column.meter];
            items.extend(column.items(x, judgement, room, &scale));
        }
    }
    let x = step_axis(survey, slot_px >= ROOM_NUMBERS_PX);
    Figure {
        title: "How far off each meter reads, and how far off it may be".into(),
        caption,
        key,
        panels: vec![Panel { area, x, y: scale.axis(), items }],
        zooms: Vec::new(),
        footnote: footnote(survey),
    }
}

/// Errors in percent with which trimming ends at the band's upper and lower edge.
///
/// # Formula
/// true = nominal / (1 + e) inside the band: nominal/high − 1 ≤ e ≤ nominal/low − 1
pub(super) fn room_percent(step: &Step) -> (f64, f64) {
    let nominal_a = step.nominal.a();
    (100.0 * (nominal_a / step.band.high_a() - 1.0), 100.0 * (nominal_a / step.band.low_a() - 1.0))
}

fn room_item(slot: f64, room: (f64, f64)) -> Item {
    let (left, right) = (slot - 0.5 * SLOT_RATIO, slot + 0.5 * SLOT_RATIO);
    let edge = Some(Stroke::solid(Ink::RoomEdge, 2.0));
    Item::Area { x: (left, right), y: room, ink: Ink::Room, edge }
}

fn step_axis(survey: &Survey, with_rooms: bool) -> Axis {
    let many = survey.results().len() > 11;
    let name = |step: &Step| {
        let (number, nominal_a) = (step.number, step.nominal.a());
        // Too many steps for whole words: the numbers say enough.
        if many {
            return format!("{number}\n{}", numbers::plain(nominal_a, 1));
        }
        let mut text = format!("step {number}\n{}", numbers::amperes(nominal_a));
        if with_rooms {
            let (low, high) = room_percent(step);
            let edges = (numbers::signed(low, 1), numbers::signed(high, 1));
            text.push_str(&format!("\n{} to {}", edges.0, edges.1));
        }
        text
    };
    let names = survey.results().iter().map(|result| name(&result.step)).collect();
    if with_rooms {
        let label = "brightness step, its nominal current in A, the errors its band forgives";
        Axis::names(label, "%", names)
    } else {
        Axis::names("brightness step and its nominal current", "A", names)
    }
}

fn key(columns: &[Column]) -> Vec<KeyEntry> {
    let mut key: Vec<KeyEntry> = columns
        .iter()
        .map(|column| {
            let ink = Ink::of(column.detector.indication());
            KeyEntry::mark(Marker::of(column.detector), ink, column.names.join(", "))
        })
        .collect();
    key.push(KeyEntry {
        marker: Some((Marker::Circle, Face::Half)),
        ink: Ink::Muted,
        text: "half: tight".into(),
    });
    key.push(KeyEntry {
        marker: Some((Marker::Circle, Face::Open)),
        ink: Ink::Muted,
        text: "open: may not set the step".into(),
    });
    key.push(KeyEntry::shade(Ink::Room, "errors the band forgives"));
    key
}

fn lesson(survey: &Survey, drawn: usize, all: usize) -> String {
    let meters = survey.meters();
    let fit = (0..meters.len()).filter(|meter| survey.fit_everywhere(*meter)).count();
    let count = match fit {
        0 => "here no meter lies well inside at every step".to_owned(),
        _ if fit == meters.len() => "here every meter lies well inside at every step".to_owned(),
        1 => format!("here 1 of {} meters lies well inside at every step", meters.len()),
        _ => format!("here {fit} of {} meters lie well inside at every step", meters.len()),
    };
    let left_out = if drawn < all {
        format!(" (drawn: {drawn} of {all} kinds of reading)")
    } else {
        String::new()
    };
    format!(
        "A meter may set a step only if its mark lies inside that step's shaded box; {count}{left_out}."
    )
}

fn footnote(survey: &Survey) -> String {
    let mut origins: Vec<&str> = Vec::new();
    let mut sources: Vec<String> = Vec::new();
    for result in survey.results() {
        if !origins.contains(&result.origin.as_str()) {
            origins.push(&result.origin);
        }
        let source = result.step.source.to_string();
        if !sources.contains(&source) {
            sources.push(source);
        }
    }
    let current = match origins.as_slice() {
        [] => String::new(),
        [only] => format!("Current: {only}. "),
        [first, ..] => format!("Currents: {first}, and others. "),
    };
    format!("Ideal meters. {current}Bands: {}.", sources.join("; "))
}

//! The error of each meter at each step, against the room the bands leave.

use crate::assess::{Fitness, Judgement, Survey};
use crate::meter::Detector;
use crate::regulator::Step;

use super::layout::content_top_px;
use super::numbers;
use super::{
    Anchor, Axis, Dash, Face, Figure, Ink, Item, KeyEntry, Marker, Panel, Rect, Stroke, TextLook,
    Tick, Weight,
};

/// Errors beyond so many times the widest room are put beyond the scale: the room, which decides,
/// stays large enough to be read across a room.
const REACH_RATIO: f64 = 2.5;
/// A column narrower than this takes its number upright.
const LEVEL_NUMBER_PX: f64 = 60.0;
/// A column narrower than this takes no number at all, so no more meters are drawn.
const COLUMN_LEAST_PX: f64 = 19.0;
/// Share of a step's place that is used; the rest keeps the steps apart.
const SLOT_RATIO: f64 = 0.92;
/// Kept free at the right of a step's place for the numbers of its room.
const ROOM_NUMBERS_PX: f64 = 48.0;

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
    let labelled_room = slot_px >= 110.0;
    let used_px = SLOT_RATIO * slot_px - if labelled_room { ROOM_NUMBERS_PX } else { 0.0 };
    let all = columns.len();
    columns.truncate(((used_px / COLUMN_LEAST_PX) as usize).max(1));
    let column_px = used_px / columns.len().max(1) as f64;
    let upright = column_px < LEVEL_NUMBER_PX;

    let scale = Scale::of(survey, &columns, upright);
    let mut items = scale.strips(steps);
    for (slot, result) in survey.results().iter().enumerate() {
        let room = room_percent(&result.step);
        items.extend(room_items(slot as f64, room, labelled_room));
        for (index, column) in columns.iter().enumerate() {
            let from_left_px = (index as f64 + 0.5) * column_px;
            let x = slot as f64 - 0.5 * SLOT_RATIO + from_left_px / slot_px;
            items.extend(column.items(x, &result.judgements[column.meter], &scale, upright));
        }
    }
    let key = key(&columns);
    let area = Rect::new(LEFT_PX, content_top_px(&key) + 36.0, LEFT_PX + wide_px, 556.0);
    Figure {
        title: "How far off each meter reads, and how far off it may be".into(),
        caption: lesson(survey, columns.len(), all),
        key,
        panels: vec![Panel { area, x: step_axis(survey), y: scale.axis(), items }],
        zooms: Vec::new(),
        footnote: footnote(survey),
    }
}

const LEFT_PX: f64 = 108.0;

/// One column in every step's place.
struct Column {
    meter: usize,
    detector: Detector,
    names: Vec<String>,
}

fn columns(survey: &Survey) -> Vec<Column> {
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

/// Errors in percent with which trimming ends at the band's upper and lower edge.
///
/// # Formula
/// true = nominal / (1 + e) inside the band: nominal/high − 1 ≤ e ≤ nominal/low − 1
fn room_percent(step: &Step) -> (f64, f64) {
    let nominal_a = step.nominal.a();
    (100.0 * (nominal_a / step.band.high_a() - 1.0), 100.0 * (nominal_a / step.band.low_a() - 1.0))
}

/// The vertical scale: linear between `low` and `high`, and a strip without scale beyond either end
/// where it is needed.
struct Scale {
    low: f64,
    high: f64,
    strip: f64,
    below: bool,
    above: bool,
}

impl Scale {
    fn of(survey: &Survey, columns: &[Column], upright: bool) -> Self {
        let rooms = || survey.results().iter().map(|result| room_percent(&result.step));
        let (low, high) = rooms().fold((0.0_f64, 0.0_f64), |(a, b), (c, d)| (a.min(c), b.max(d)));
        let reach = REACH_RATIO * high.max(-low);
        let errors = || {
            survey.results().iter().flat_map(|result| {
                columns.iter().map(|column| 100.0 * result.judgements[column.meter].error_ratio)
            })
        };
        let near = errors().filter(|error| error.abs() <= reach);
        let (low, high) = near.fold((low, high), |(a, b), error| (a.min(error), b.max(error)));
        // Room for the numbers beyond the outermost marks.
        let spare = (high - low) * if upright { 0.26 } else { 0.15 };
        Self {
            low: low - spare,
            high: high + spare,
            strip: (high - low) * if upright { 0.36 } else { 0.24 },
            below: errors().any(|error| error < -reach),
            above: errors().any(|error| error > reach),
        }
    }

    fn axis(&self) -> Axis {
        let mut axis = Axis::numbers("error of the reading", "%", self.low, self.high, 8);
        if self.above {
            axis.to += self.strip;
            axis.ticks.push(Tick { at: self.high + 0.5 * self.strip, text: "beyond".into() });
        }
        if self.below {
            axis.from -= self.strip;
            axis.ticks.push(Tick { at: self.low - 0.5 * self.strip, text: "beyond".into() });
        }
        axis
    }

    fn strips(&self, steps: usize) -> Vec<Item> {
        let x = (-0.5, steps as f64 - 0.5);
        let strip = |y| Item::Area { x, y, ink: Ink::Aside, edge: None };
        let mut strips = Vec::new();
        if self.above {
            strips.push(strip((self.high, self.high + self.strip)));
        }
        if self.below {
            strips.push(strip((self.low - self.strip, self.low)));
        }
        strips
    }

    /// Where an error is drawn, and whether that is on the scale.
    fn place(&self, error: f64) -> (f64, bool) {
        if error > self.high {
            (self.high + 0.3 * self.strip, false)
        } else if error < self.low {
            (self.low - 0.3 * self.strip, false)
        } else {
            (error, true)
        }
    }
}

impl Column {
    fn items(&self, x: f64, judgement: &Judgement, scale: &Scale, upright: bool) -> Vec<Item> {
        let error = 100.0 * judgement.error_ratio;
        let ink = Ink::of(self.detector.indication());
        let (y, on_scale) = scale.place(error);
        let up = error >= 0.0;
        let knee = if on_scale {
            y
        } else if up {
            scale.high
        } else {
            scale.low
        };
        let stem = Stroke::solid(ink, 4.0);
        let mut items = vec![Item::Curve { points: vec![(x, 0.0), (x, knee)], stroke: stem }];
        if !on_scale {
            let points = vec![(x, knee), (x, y)];
            items.push(Item::Curve { points, stroke: stem.with_dash(Dash::Dotted) });
        }
        let fit = judgement.fitness == Fitness::Fit;
        items.push(Item::Mark {
            at: (x, y),
            marker: Marker::of(self.detector),
            ink,
            face: if fit { Face::Full } else { Face::Open },
            radius_px: if upright { 7.0 } else { 9.0 },
        });
        let away_px = if upright { 14.0 } else { 22.0 };
        items.push(Item::Label {
            at: (x, y),
            offset_px: (0.0, if up { -away_px } else { away_px }),
            anchor: match (upright, up) {
                (false, _) => Anchor::Middle,
                (true, true) => Anchor::Start,
                (true, false) => Anchor::End,
            },
            text: numbers::signed(error, 1),
            look: TextLook::new(17.0, Weight::Bold, ink),
            upright,
        });
        items
    }
}

fn room_items(slot: f64, room: (f64, f64), labelled: bool) -> Vec<Item> {
    let (left, right) = (slot - 0.5 * SLOT_RATIO, slot + 0.5 * SLOT_RATIO);
    let edge = Some(Stroke::solid(Ink::RoomEdge, 2.0));
    let mut items = vec![Item::Area { x: (left, right), y: room, ink: Ink::Room, edge }];
    if labelled {
        let look = TextLook::new(16.0, Weight::Regular, Ink::RoomEdge);
        for (y, down_px) in [(room.1, -12.0), (room.0, 12.0)] {
            items.push(Item::Label {
                at: (right, y),
                offset_px: (-2.0, down_px),
                anchor: Anchor::End,
                text: numbers::signed(y, 1),
                look,
                upright: false,
            });
        }
    }
    items
}

fn step_axis(survey: &Survey) -> Axis {
    let name =
        |step: &Step| format!("step {}\n{}", step.number, numbers::amperes(step.nominal.a()));
    let mut axis = Axis::names(
        "brightness step and its nominal current",
        "A",
        survey.results().iter().map(|result| name(&result.step)).collect(),
    );
    // Too many steps for whole words: the numbers say enough.
    if axis.ticks.len() > 11 {
        for (tick, result) in axis.ticks.iter_mut().zip(survey.results()) {
            tick.text =
                format!("{}\n{}", result.step.number, numbers::plain(result.step.nominal.a(), 1));
        }
    }
    axis
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
        marker: Some((Marker::Circle, Face::Open)),
        ink: Ink::Muted,
        text: "open mark: may not set the step".into(),
    });
    key.push(KeyEntry::shade(Ink::Room, "errors the step's band forgives"));
    key
}

fn lesson(survey: &Survey, drawn: usize, all: usize) -> String {
    let meters = survey.meters();
    let fit = (0..meters.len()).filter(|meter| survey.fit_everywhere(*meter)).count();
    let count = match fit {
        0 => "none of these meters may set every step".to_owned(),
        _ if fit == meters.len() => "here every meter may set every step".to_owned(),
        1 => format!("here one of {} may set every step", meters.len()),
        _ => format!("here {fit} of {} may set every step", meters.len()),
    };
    let left_out = if drawn < all {
        format!(" (drawn: {drawn} of {all} kinds of reading)")
    } else {
        String::new()
    };
    format!(
        "A meter may set a step only if its mark lies inside that step's green box; {count}{left_out}."
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
    format!("{current}Bands: {}.", sources.join("; "))
}

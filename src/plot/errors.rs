//! The error of each meter at each step, against the room the bands leave.

use crate::assess::{Fitness, Judgement, Survey};
use crate::meter::Detector;
use crate::regulator::Step;

use super::layout::content_top_px;
use super::{
    Anchor, Axis, Dash, Face, Figure, Ink, Item, KeyEntry, Marker, Panel, Rect, Stroke, TextLook,
    Tick, Weight,
};
use super::{font, numbers};

/// Errors beyond so many times the widest room are put beyond the scale: the room, which decides,
/// stays large enough to be read across a room.
const REACH_RATIO: f64 = 2.5;
/// A column narrower than this takes its number upright.
const LEVEL_NUMBER_PX: f64 = 60.0;
/// A column narrower than this takes no number at all, so no more meters are drawn.
const COLUMN_LEAST_PX: f64 = 19.0;
/// Share of a step's place that is used; the rest keeps the steps apart.
const SLOT_RATIO: f64 = 0.92;
/// A step's place narrower than this has no room for the numbers of its band.
const ROOM_NUMBERS_PX: f64 = 136.0;
/// How far into the strip beyond the scale a mark stands.
const STRIP_MARK_RATIO: f64 = 0.3;
/// Size of the numbers at the marks.
const NUMBER_PX: f64 = 17.0;

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

    let scale = Scale::of(survey, &columns, upright);
    let key = key(&columns);
    let caption = lesson(survey, columns.len(), all);
    let top_px = content_top_px(&caption, &key) + 36.0;
    let area = Rect::new(LEFT_PX, top_px, LEFT_PX + wide_px, 540.0);
    let y = scale.axis();
    let px_per_percent = area.height_px() / (y.to - y.from);
    let mut items = scale.strips(steps);
    let page = PageScale { scale, px_per_percent, upright };
    for (slot, result) in survey.results().iter().enumerate() {
        let room = room_percent(&result.step);
        items.push(room_item(slot as f64, room));
        for (index, column) in columns.iter().enumerate() {
            let from_left_px = (index as f64 + 0.5) * column_px;
            let x = slot as f64 - 0.5 * SLOT_RATIO + from_left_px / slot_px;
            let judgement = &result.judgements[column.meter];
            items.extend(column.items(x, judgement, room, &page));
        }
    }
    let x = step_axis(survey, slot_px >= ROOM_NUMBERS_PX);
    Figure {
        title: "How far off each meter reads, and how far off it may be".into(),
        caption,
        key,
        panels: vec![Panel { area, x, y, items }],
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
        let spare = (high - low) * if upright { 0.45 } else { 0.16 };
        Self {
            low: low - spare,
            high: high + spare,
            strip: (high - low) * if upright { 0.50 } else { 0.24 },
            below: errors().any(|error| error < -reach),
            above: errors().any(|error| error > reach),
        }
    }

    fn axis(&self) -> Axis {
        let mut axis = Axis::numbers("error of the reading", "%", self.low, self.high, 8);
        if self.above {
            axis.to += self.strip;
            axis.ticks.push(Tick {
                at: self.high + 0.5 * self.strip,
                text: "beyond".into(),
                line: false,
            });
        }
        if self.below {
            axis.from -= self.strip;
            axis.ticks.push(Tick {
                at: self.low - 0.5 * self.strip,
                text: "beyond".into(),
                line: false,
            });
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
            (self.high + STRIP_MARK_RATIO * self.strip, false)
        } else if error < self.low {
            (self.low - STRIP_MARK_RATIO * self.strip, false)
        } else {
            (error, true)
        }
    }
}

/// What a mark needs to know of the panel to find a place for its number.
struct PageScale {
    scale: Scale,
    px_per_percent: f64,
    upright: bool,
}

impl PageScale {
    /// Distance (in percent) from a mark to the middle of its number, or to its near end when it
    /// stands upright; and how far the number reaches from there.
    fn number_percent(&self, text: &str) -> (f64, f64, f64) {
        let along_px = font::width_px(text, NUMBER_PX, Weight::Bold);
        let (away_px, back_px, on_px) =
            if self.upright { (14.0, 0.0, along_px) } else { (22.0, 10.0, 10.0) };
        let percent = |px: f64| px / self.px_per_percent;
        (percent(away_px), percent(back_px), percent(on_px))
    }
}

impl Column {
    fn items(
        &self,
        x: f64,
        judgement: &Judgement,
        room: (f64, f64),
        page: &PageScale,
    ) -> Vec<Item> {
        let error = 100.0 * judgement.error_ratio;
        let ink = Ink::of(self.detector.indication());
        let (y, on_scale) = page.scale.place(error);
        let knee = match on_scale {
            true => y,
            false if error > 0.0 => page.scale.high,
            false => page.scale.low,
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
            offset_px: (0.0, 0.0),
            marker: Marker::of(self.detector),
            ink,
            face: if fit { Face::Full } else { Face::Open },
            radius_px: if page.upright { 7.0 } else { 9.0 },
        });
        let decimals = if error.abs() < 99.95 { 1 } else { 0 };
        items.push(self.number((x, y), numbers::signed(error, decimals), room, page));
        items
    }

    /// The number stands beyond the mark, seen from zero; where it would lie on an edge of the
    /// room, it stands on the other side of zero, where its stem is not.
    fn number(&self, (x, y): (f64, f64), text: String, room: (f64, f64), page: &PageScale) -> Item {
        let (away, back, on) = page.number_percent(&text);
        let outwards = if text.starts_with('−') { -1.0 } else { 1.0 };
        let hits = |from: f64, to: f64| {
            let (low, high) = (from.min(to), from.max(to));
            [room.0, room.1].iter().any(|edge| (low..=high).contains(edge))
        };
        let beyond = y + outwards * away;
        let (at, up) = if hits(beyond - outwards * back, beyond + outwards * on) && y.abs() < room.1
        {
            (-outwards * away.min(16.0 / page.px_per_percent), outwards < 0.0)
        } else {
            (beyond, outwards > 0.0)
        };
        Item::Label {
            at: (x, at),
            offset_px: (0.0, 0.0),
            anchor: match (page.upright, up) {
                (false, _) => Anchor::Middle,
                (true, true) => Anchor::Start,
                (true, false) => Anchor::End,
            },
            text,
            look: TextLook::new(NUMBER_PX, Weight::Bold, Ink::of(self.detector.indication())),
            upright: page.upright,
        }
    }
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
        0 => "none of these meters may set every step".to_owned(),
        _ if fit == meters.len() => "here every meter may set every step".to_owned(),
        _ => format!("here {fit} of {} meters may set every step", meters.len()),
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

//! The readings of a visit against the bands.

use crate::procedure::Visit;
use crate::procedure::entry::{Judgement, Moment, Output};

use super::layout::content_top_px;
use super::{
    Anchor, Axis, Face, Figure, Ink, Item, KeyEntry, Marker, Panel, Rect, Stroke, TextLook, Weight,
    numbers, ticks,
};

const LEFT_PX: f64 = 96.0;
const RIGHT_PX: f64 = 1174.0;
/// Share of a step's place that its band takes.
const SLOT_RATIO: f64 = 0.92;
/// With more steps there is no room for numbers at the marks.
const MOST_NUMBERED: usize = 6;
/// What lies farther from the nominal is drawn at the edge.
const MOST_PERCENT: f64 = 25.0;

/// What was read, in the order it stands in a step's place.
const SERIES: [(Moment, Output, Marker, Face, Ink); 4] = [
    (Moment::AsFound, Output::Shorted, Marker::Circle, Face::Open, Ink::Current),
    (Moment::AsLeft, Output::Shorted, Marker::Circle, Face::Full, Ink::Current),
    (Moment::AsFound, Output::Field, Marker::Square, Face::Open, Ink::Average),
    (Moment::AsLeft, Output::Field, Marker::Square, Face::Full, Ink::Average),
];

/// One mark.
struct Point {
    slot: usize,
    series: usize,
    judgement: Judgement,
    true_a: f64,
    expanded_a: f64,
}

impl Point {
    fn percent(&self, a: f64) -> f64 {
        100.0 * (a / self.judgement.nominal_a - 1.0)
    }

    /// Whether the whole interval lies inside the band.
    fn is_inside(&self) -> bool {
        self.true_a - self.expanded_a >= self.judgement.low_a
            && self.true_a + self.expanded_a <= self.judgement.high_a
    }
}

/// The true current behind every reading that counts, with its expanded uncertainty, in percent of
/// the step's nominal; as found and as left, shorted and with the field, beside the step's band.
///
/// Steps come in this order; a reading whose meaning is not known is left out, and the foot says so.
#[must_use]
pub fn visit_readings_figure(visit: &Visit, steps: &[u32]) -> Figure {
    let (points, unknown) = points(visit, steps);
    let used: Vec<usize> =
        (0..SERIES.len()).filter(|k| points.iter().any(|point| point.series == *k)).collect();
    let key = key(&used);
    let caption = lesson(&points);
    let top_px = content_top_px(&caption, &key) + 38.0;
    let area = Rect::new(LEFT_PX, top_px, RIGHT_PX, 540.0);
    let reach = reach_percent(&points);
    let slot_px = area.width_px() / steps.len().max(1) as f64;
    let mut items = Vec::new();
    for slot in 0..steps.len() {
        let Some(known) = points.iter().find(|point| point.slot == slot) else { continue };
        let (low, high) =
            (known.percent(known.judgement.low_a), known.percent(known.judgement.high_a));
        let middle = slot as f64;
        items.push(Item::Area {
            x: (middle - 0.5 * SLOT_RATIO, middle + 0.5 * SLOT_RATIO),
            y: (low.max(-reach), high.min(reach)),
            ink: Ink::Room,
            edge: Some(Stroke::solid(Ink::RoomEdge, 2.0)),
        });
    }
    items.push(Item::Level { y: 0.0, stroke: Stroke::solid(Ink::Muted, 1.5), label: None });
    for point in &points {
        let rank = used.iter().position(|k| *k == point.series).unwrap_or_default();
        let share = (rank as f64 + 0.5) / used.len() as f64 - 0.5;
        let x = SLOT_RATIO.mul_add(share, point.slot as f64);
        let scale = (reach, 0.5 * area.height_px() / reach);
        items.extend(mark(point, x, slot_px, scale, steps.len() <= MOST_NUMBERED));
    }
    Figure {
        title: format!("Visit {}: the current found and left at each step", visit.number()),
        caption,
        key,
        panels: vec![Panel {
            area,
            x: step_axis(&points, steps),
            y: Axis::numbers("true RMS against the nominal", "%", -reach, reach, 8),
            items,
        }],
        zooms: Vec::new(),
        footnote: footnote(&points, unknown),
    }
}

fn points(visit: &Visit, steps: &[u32]) -> (Vec<Point>, usize) {
    let (mut points, mut unknown) = (Vec::new(), 0);
    for (slot, step) in steps.iter().enumerate() {
        for (series, (moment, output, ..)) in SERIES.iter().enumerate() {
            let Some(reading) = visit.reading(*step, *moment, *output) else { continue };
            let known = reading.judgement.clone().and_then(|judgement| {
                let (true_a, expanded_a) =
                    judgement.true_rms_a.zip(judgement.expanded_uncertainty_a)?;
                Some(Point { slot, series, judgement, true_a, expanded_a })
            });
            match known {
                Some(point) => points.push(point),
                None => unknown += 1,
            }
        }
    }
    (points, unknown)
}

fn reach_percent(points: &[Point]) -> f64 {
    let ends = points.iter().flat_map(|point| {
        [
            point.true_a - point.expanded_a,
            point.true_a + point.expanded_a,
            point.judgement.low_a,
            point.judgement.high_a,
        ]
        .map(|a| point.percent(a).abs())
    });
    ticks::round_outwards(1.18 * ends.fold(1.0, f64::max).min(MOST_PERCENT), 8)
}

fn mark(
    point: &Point,
    x: f64,
    slot_px: f64,
    (reach, px_a_percent): (f64, f64),
    is_numbered: bool,
) -> Vec<Item> {
    let (_, _, marker, face, ink) = SERIES[point.series];
    let held = |percent: f64| percent.clamp(-reach, reach);
    let low = held(point.percent(point.true_a - point.expanded_a));
    let high = held(point.percent(point.true_a + point.expanded_a));
    let at = (x, held(point.percent(point.true_a)));
    let cap = 7.0 / slot_px;
    let stroke = Stroke::solid(ink, 2.5);
    let mut items = vec![
        Item::Curve { points: vec![(x, low), (x, high)], stroke },
        Item::Curve { points: vec![(x - cap, low), (x + cap, low)], stroke },
        Item::Curve { points: vec![(x - cap, high), (x + cap, high)], stroke },
        Item::Mark { at, offset_px: (0.0, 0.0), marker, ink, face, radius_px: 8.0 },
    ];
    if is_numbered {
        let nominal = point.judgement.nominal_a;
        let lines = [point.judgement.low_a, nominal, point.judgement.high_a];
        let raised_px = clear_of(lines.map(|a| (held(point.percent(a)) - high) * px_a_percent));
        items.push(Item::Label {
            at: (x, high),
            offset_px: (0.0, -raised_px),
            anchor: Anchor::Middle,
            text: numbers::plain(point.true_a, 3),
            look: TextLook::new(15.0, Weight::Bold, Ink::Text),
            upright: false,
        });
    }
    items
}

/// How far a label stands above its mark so that neither an edge of the band nor the line of the nominal
/// runs through it; these in pixels above the mark.
fn clear_of(lines_px: [f64; 3]) -> f64 {
    const LEAST_PX: f64 = 14.0;
    const HALF_PX: f64 = 9.0;
    let mut raised_px = LEAST_PX;
    let mut lines_px = lines_px;
    lines_px.sort_by(f64::total_cmp);
    for line_px in lines_px {
        if (line_px - raised_px).abs() < HALF_PX + 2.0 {
            raised_px = line_px + HALF_PX + 3.0;
        }
    }
    raised_px
}

fn step_axis(points: &[Point], steps: &[u32]) -> Axis {
    let many = steps.len() > 9;
    let name = |(slot, step): (usize, &u32)| {
        let nominal = points
            .iter()
            .find(|point| point.slot == slot)
            .map(|point| numbers::amperes(point.judgement.nominal_a));
        let words = if many { step.to_string() } else { format!("step {step}") };
        nominal.map_or(words.clone(), |nominal| format!("{words}\n{nominal}"))
    };
    let names = steps.iter().enumerate().map(name).collect();
    Axis::names("brightness step and its nominal current", "A", names)
}

fn key(used: &[usize]) -> Vec<KeyEntry> {
    let mut key: Vec<KeyEntry> = used
        .iter()
        .map(|k| {
            let (moment, output, marker, face, ink) = SERIES[*k];
            KeyEntry {
                marker: Some((marker, face)),
                ink,
                text: format!("{}, {}", moment.words(), output.words()),
            }
        })
        .collect();
    key.push(KeyEntry::shade(Ink::Room, "band of the step"));
    key
}

fn lesson(points: &[Point]) -> String {
    let count = |moment: Moment, output: Output| {
        let of_series = |point: &&Point| {
            let (m, o, ..) = SERIES[point.series];
            m == moment && o == output
        };
        let all = points.iter().filter(of_series).count();
        let inside = points.iter().filter(of_series).filter(|point| point.is_inside()).count();
        (all > 0)
            .then(|| format!("{} with the {}, {inside} of {all}", moment.words(), output.words()))
    };
    let counts: Vec<String> = SERIES.iter().filter_map(|(m, o, ..)| count(*m, *o)).collect();
    if counts.is_empty() {
        return "No reading of this visit has a known meaning.".to_owned();
    }
    format!("Whole interval inside the band: {} steps.", counts.join("; "))
}

fn footnote(points: &[Point], unknown: usize) -> String {
    let mut sources: Vec<&str> = Vec::new();
    for point in points {
        if !sources.contains(&point.judgement.band_source.as_str()) {
            sources.push(&point.judgement.band_source);
        }
    }
    let left_out = match unknown {
        0 => String::new(),
        1 => " 1 reading has no known meaning and is left out.".to_owned(),
        _ => format!(" {unknown} readings have no known meaning and are left out."),
    };
    let bands = super::drawable(&sources.join("; "));
    format!("Best estimates with expanded uncertainty. Bands: {bands}.{left_out}")
}

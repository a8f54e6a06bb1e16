//! Time to trip of a protection against the multiple of rated current, with the times allowed.

use crate::regulator::protection::{Protection, SteadyRise, TimeLimit, TrialBench, TripCurve};

use super::layout::content_top_px;
use super::{
    Anchor, Axis, Dash, Face, Figure, Ink, Item, KeyEntry, Marker, Panel, Rect, Stroke, TextLook,
    Weight,
};
use super::{numbers, ticks};

/// Places at which the closed form is drawn.
const PLACES: usize = 600;
/// Half the width of a bar of allowed times, in percent of rated current.
const BAR_PERCENT: f64 = 0.7;
const SIGNS: [(Marker, Face, Ink); 4] = [
    (Marker::Circle, Face::Full, Ink::Rank(2)),
    (Marker::Square, Face::Open, Ink::Rank(4)),
    (Marker::Triangle, Face::Full, Ink::Rank(1)),
    (Marker::Diamond, Face::Open, Ink::Rank(3)),
];

/// What is tried: a protection on a regulator that held a current before.
#[derive(Clone, Copy, Debug)]
pub struct ProtectionTimes<'a> {
    /// The protection.
    pub protection: &'a Protection,
    /// The current before, over rated current.
    pub before_ratio: f64,
    /// Frequency of the supply.
    pub frequency_hz: f64,
    /// Simulated times, one curve for each load.
    pub curves: &'a [TripCurve],
}

impl<'a> ProtectionTimes<'a> {
    /// What was tried on a bench, whatever its load.
    #[must_use]
    pub fn of(bench: &TrialBench<'a>, curves: &'a [TripCurve]) -> Self {
        let (values, supply) = (&bench.regulator.values, &bench.regulator.supply);
        Self {
            protection: bench.protection,
            before_ratio: bench.target_a / values.rated_current_rms_a,
            frequency_hz: values.rated_frequency_hz * supply.frequency_ratio,
            curves,
        }
    }
}

/// Time to trip over the multiple of rated current: the detector's closed form as a line, simulated
/// control faults as marks, the times allowed as bars.
///
/// `origin` says where the regulator's values come from and ends without a full stop.
#[must_use]
pub fn protection_times_figure(times: &ProtectionTimes<'_>, origin: &str) -> Figure {
    let caption = lesson(times);
    let mut key = vec![
        KeyEntry::shade(Ink::Current, "a jump of the current, closed form"),
        KeyEntry::shade(Ink::RoomEdge, "times allowed"),
    ];
    let signs = times.curves.iter().zip(SIGNS.iter().cycle());
    key.extend(signs.map(|(curve, (marker, face, ink))| KeyEntry {
        marker: Some((*marker, *face)),
        ink: *ink,
        text: format!("control fault, {}", load_words(curve.load_ratio)),
    }));
    let ends = ends(times);
    let top_px = content_top_px(&caption, &key) + 38.0;
    let panel = Panel {
        area: Rect::new(98.0, top_px, 1150.0, 570.0),
        x: Axis::numbers("true RMS current", "% of rated", 100.0, ends.0, 9).without_grid(),
        y: Axis::numbers("time until the protection acts", "s", 0.0, ends.1, 8),
        items: items(times, ends),
    };
    Figure {
        title: "How soon the overcurrent protection acts".into(),
        caption,
        key,
        panels: vec![panel],
        zooms: Vec::new(),
        footnote: footnote(times, origin),
    }
}

fn load_words(ratio: f64) -> String {
    if ratio <= 0.05 {
        "output shorted".into()
    } else {
        format!("{}\u{a0}% load", numbers::plain(100.0 * ratio, 0))
    }
}

/// Ends of both axes.
fn ends(times: &ProtectionTimes<'_>) -> (f64, f64) {
    let points = || times.curves.iter().flat_map(|curve| &curve.points);
    let tried = times.protection.stages.iter().filter_map(|stage| stage.tried.as_ref());
    let most_x = points()
        .map(|point| point.ratio)
        .chain(tried.clone().map(|(ratio, _)| *ratio))
        .chain(times.protection.stages.iter().map(|stage| stage.pickup_ratio))
        .fold(1.1, f64::max);
    let most_y = points()
        .flat_map(|point| [point.steady, point.simulated])
        .flatten()
        .map(|(_, time_s)| time_s)
        .chain(tried.filter_map(|(_, limit)| limit.longest_s))
        .fold(0.5, f64::max);
    (100.0 * most_x + 2.0, ticks::round_outwards(1.06 * most_y, 10))
}

fn items(times: &ProtectionTimes<'_>, (end_x, end_y): (f64, f64)) -> Vec<Item> {
    let mut items = Vec::new();
    let plain = TextLook::new(17.0, Weight::Regular, Ink::Text);
    let bold = TextLook::new(17.0, Weight::Bold, Ink::RoomEdge);
    for stage in &times.protection.stages {
        if let Some((ratio, limit)) = &stage.tried {
            let x = 100.0 * ratio;
            let y = (limit.shortest_s.unwrap_or(0.0), limit.longest_s.unwrap_or(end_y));
            items.push(Item::Area {
                x: (x - BAR_PERCENT, x + BAR_PERCENT),
                y,
                ink: Ink::Room,
                edge: Some(Stroke::solid(Ink::RoomEdge, 3.0)),
            });
            items.push(label((x, y.1), (-10.0, -36.0), times_words(limit), bold));
            items.push(label(
                (x, y.1),
                (-10.0, -15.0),
                format!("at {}\u{a0}%", numbers::plain(x, 0)),
                TextLook::new(16.0, Weight::Regular, Ink::RoomEdge),
            ));
        }
    }
    for stage in &times.protection.stages {
        let x = 100.0 * stage.pickup_ratio;
        let dotted = Stroke::solid(Ink::Muted, 1.5).with_dash(Dash::Dashed);
        items.push(Item::Curve { points: vec![(x, 0.0), (x, end_y)], stroke: dotted });
        items.push(Item::Label {
            at: (x, end_y),
            offset_px: (-13.0, 8.0),
            anchor: Anchor::End,
            text: format!("set at {}\u{a0}%", short(x)),
            look: TextLook { ink: Ink::Muted, ..plain },
            upright: true,
        });
    }
    for points in closed(times, end_x) {
        items.push(Item::Curve { points, stroke: Stroke::solid(Ink::Current, 3.0) });
    }
    for (place, (curve, (marker, face, ink))) in
        times.curves.iter().zip(SIGNS.iter().cycle()).enumerate()
    {
        // The first is larger: the others mostly lie on it.
        let radius_px = if place == 0 { 9.5 } else { 5.5 };
        items.extend(curve.points.iter().filter_map(|point| {
            let (_, time_s) = point.simulated.filter(|_| point.is_there())?;
            Some(Item::Mark {
                at: (100.0 * point.ratio, time_s),
                offset_px: (0.0, 0.0),
                marker: *marker,
                ink: *ink,
                face: *face,
                radius_px,
            })
        }));
    }
    items
}

/// A percentage without a decimal that says nothing.
fn short(percent: f64) -> String {
    let is_whole = (percent - percent.round()).abs() < 0.05;
    numbers::plain(percent, if is_whole { 0 } else { 1 })
}

fn label(at: (f64, f64), offset_px: (f64, f64), text: String, look: TextLook) -> Item {
    Item::Label { at, offset_px, anchor: Anchor::Start, text, look, upright: false }
}

fn times_words(limit: &TimeLimit) -> String {
    match (limit.shortest_s, limit.longest_s) {
        (Some(low_s), Some(high_s)) => format!("{low_s} to {high_s}\u{a0}s allowed"),
        (Some(low_s), None) => format!("{low_s}\u{a0}s or more allowed"),
        (None, Some(high_s)) => format!("{high_s}\u{a0}s or less allowed"),
        (None, None) => String::new(),
    }
}

/// The closed form as one curve for each stretch in which one stage acts.
fn closed(times: &ProtectionTimes<'_>, end_x: f64) -> Vec<Vec<(f64, f64)>> {
    let mut curves: Vec<Vec<(f64, f64)>> = Vec::new();
    let mut last = None;
    for place in 0..=PLACES {
        let ratio = 1.0 + (end_x / 100.0 - 1.0) * place as f64 / PLACES as f64;
        let gain = gain_at(times, ratio);
        let rise = SteadyRise { before_ratio: times.before_ratio, after_ratio: ratio, gain };
        let acts = times.protection.time_to_trip_s(&rise, times.frequency_hz);
        let cause = acts.map(|(cause, _)| cause);
        if let Some((_, time_s)) = acts {
            if cause != last {
                curves.push(Vec::new());
            }
            if let Some(curve) = curves.last_mut() {
                curve.push((100.0 * ratio, time_s));
            }
        }
        last = cause;
    }
    curves
}

/// The detector's gain at a multiple, between the points of the first curve.
fn gain_at(times: &ProtectionTimes<'_>, ratio: f64) -> f64 {
    let Some(curve) = times.curves.first() else { return 1.0 };
    let above = curve.points.iter().position(|point| point.ratio >= ratio);
    match above {
        None => curve.points.last().map_or(1.0, |point| point.gain),
        Some(0) => curve.points[0].gain,
        Some(at) => {
            let (a, b) = (&curve.points[at - 1], &curve.points[at]);
            let part = (ratio - a.ratio) / (b.ratio - a.ratio);
            part.mul_add(b.gain - a.gain, a.gain)
        }
    }
}

fn lesson(times: &ProtectionTimes<'_>) -> String {
    let mut parts = Vec::new();
    for (ratio, limit) in times.protection.stages.iter().filter_map(|stage| stage.tried.as_ref()) {
        let told: Vec<(String, &str, String)> = times
            .curves
            .iter()
            .filter_map(|curve| {
                let near = |point: &&crate::regulator::protection::TripPoint| {
                    (point.ratio - ratio).abs() < 1e-9
                };
                let (_, time_s) = curve.points.iter().find(near)?.simulated?;
                let seconds = numbers::plain(time_s, 2);
                let place = place_words(limit, time_s);
                Some((format!("{seconds}\u{a0}s"), place, load_words(curve.load_ratio)))
            })
            .collect();
        if let Some(first) = told.first() {
            let all = if told.iter().all(|one| (&one.0, one.1) == (&first.0, first.1)) {
                format!("{} ({})", first.0, first.1)
            } else {
                let each =
                    told.iter().map(|(time, place, load)| format!("{time} ({load}: {place})"));
                each.collect::<Vec<_>>().join(" and ")
            };
            parts.push(format!("at {}\u{a0}% after {all}", numbers::plain(100.0 * ratio, 0)));
        }
    }
    if parts.is_empty() {
        return "No stage is held against a limit here.".into();
    }
    format!("A control fault is switched off {}.", parts.join(", "))
}

fn place_words(limit: &TimeLimit, time_s: f64) -> &'static str {
    use crate::regulator::protection::LimitPlacement;
    match limit.place(Some(time_s)) {
        LimitPlacement::Inside => "inside",
        LimitPlacement::TooEarly => "too early",
        LimitPlacement::TooLate | LimitPlacement::DidNotAct => "too late",
    }
}

fn footnote(times: &ProtectionTimes<'_>, origin: &str) -> String {
    let protection = times.protection;
    let limits = protection.stages.iter().filter_map(|stage| stage.tried.as_ref());
    let mut words: Vec<&str> = limits.map(|(_, limit)| limit.source.evidence.words()).collect();
    words.dedup();
    let mut points = times.curves.iter().flat_map(|curve| &curve.points);
    let missing =
        if points.all(|point| point.is_there()) { "" } else { " No mark: current not there." };
    format!(
        "{} detector over {} half cycles. Times allowed: {}.{missing} Beyond the regulator's own highest \
         current its supply is too high. Simulated circuit of {origin}.",
        capital(protection.law.words()),
        protection.window_half_cycles,
        words.join(", ")
    )
}

fn capital(words: &str) -> String {
    let mut characters = words.chars();
    characters.next().map_or_else(String::new, |first| {
        first.to_uppercase().collect::<String>() + characters.as_str()
    })
}

//! Crest factors of currents against those a meter takes.

use crate::meter::Sheet;

use super::super::layout::content_top_px;
use super::super::{
    Anchor, Axis, Face, Figure, Ink, Item, KeyEntry, Marker, Panel, Rect, Stroke, TextLook, Weight,
    numbers,
};
use super::mark;

const POINTS: usize = 90;
/// Smallest reading drawn, over the full scale, where no step lies below it.
const LEAST: f64 = 0.1;
/// Highest crest factor drawn.
const MOST_CREST: f64 = 5.0;

/// A step's current: its true RMS and its crest factors with every lamp lit and with lamps out.
#[derive(Clone, Copy, Debug)]
pub struct CrestPoint {
    /// Number of the step.
    pub step: u32,
    /// True RMS.
    pub rms_a: f64,
    /// Crest factor with every lamp lit.
    pub lit: f64,
    /// Crest factor with lamps out.
    pub lamps_out: f64,
}

/// The crest factor a meter takes over its reading as a share of the full scale, with the steps where
/// they fall on its own range, and the top step on a range it would fill.
///
/// `None` when the sheet says nothing of crest factors. `lamps_out` is the share of lamps out in words;
/// `origin` says where the currents come from and ends without a full stop.
#[must_use]
pub fn crest_limit_figure(
    (name, sheet): (&str, &Sheet),
    points: &[CrestPoint],
    lamps_out: &str,
    origin: &str,
) -> Option<Figure> {
    let capability = sheet.crest.as_ref()?;
    let top = points.iter().max_by(|a, b| a.rms_a.total_cmp(&b.rms_a))?;
    let range = sheet.ranges.choose(top.rms_a, top.rms_a * top.lamps_out, Some(capability))?;
    let allowed = |share: f64| capability.allowed(range, share * range.full_scale_a);
    let share = top.rms_a / range.full_scale_a;
    let verdict = |crest: f64, allowed: f64| if crest <= allowed { "enough" } else { "too little" };
    let (here, full) = (allowed(share), allowed(1.0));
    let caption = format!(
        "At {}, {}\u{a0}% of its {} range, this meter takes a crest factor of {}; with {lamps_out} the current \
         has {}: {}. Were {} the full scale, it would take {}: {}.",
        numbers::amperes(top.rms_a),
        numbers::plain(100.0 * share, 0),
        range_words(range.full_scale_a),
        numbers::plain(here, 1),
        numbers::plain(top.lamps_out, 2),
        verdict(top.lamps_out, here),
        numbers::amperes(top.rms_a),
        numbers::plain(full, 1),
        verdict(top.lamps_out, full)
    );
    let key = vec![
        KeyEntry::mark(Marker::Lying, Ink::RoomEdge, "highest crest factor the meter takes"),
        KeyEntry::mark(Marker::Circle, Ink::Rank(2), "steps, every lamp lit"),
        KeyEntry::mark(Marker::Triangle, Ink::Average, format!("steps, {lamps_out}")),
    ];
    let top_px = content_top_px(&caption, &key) + 38.0;
    let shares = points.iter().map(|point| point.rms_a / range.full_scale_a);
    let least = if shares.fold(LEAST, f64::min) < LEAST { 0.0 } else { LEAST };
    // Where the sheet allows more than is drawn, the curve has not begun.
    let limit: Vec<(f64, f64)> = (0..=POINTS)
        .map(|k| (1.0 - least).mul_add(k as f64 / POINTS as f64, least))
        .map(|at| (100.0 * at, allowed(at)))
        .filter(|(_, crest)| *crest <= MOST_CREST)
        .collect();
    let mut items = Vec::new();
    items.push(Item::Curve { points: limit, stroke: Stroke::solid(Ink::RoomEdge, 3.5) });
    for point in points {
        let x = 100.0 * point.rms_a / range.full_scale_a;
        items.push(mark((x, point.lit), Marker::Circle, Ink::Rank(2), Face::Full, 7.0));
        items.push(mark((x, point.lamps_out), Marker::Triangle, Ink::Average, Face::Full, 7.0));
    }
    // The same current on a range it fills.
    items.push(mark((100.0, top.lit), Marker::Circle, Ink::Rank(2), Face::Open, 8.0));
    items.push(mark((100.0, top.lamps_out), Marker::Triangle, Ink::Average, Face::Open, 8.0));
    let note = |at: (f64, f64), offset_px, anchor, text: &str, ink| Item::Label {
        at,
        offset_px,
        anchor,
        text: text.to_owned(),
        look: TextLook::new(18.0, Weight::Bold, ink),
        upright: false,
    };
    items.push(note((98.0, MOST_CREST), (0.0, 26.0), Anchor::End, "the meter clips", Ink::Text));
    items.push(note((12.0, 2.4), (0.0, 0.0), Anchor::Start, "the meter follows", Ink::Text));
    items.push(note(
        (98.0, 1.0),
        (0.0, -14.0),
        Anchor::End,
        "open: the top step, were its current the full scale",
        Ink::Text,
    ));
    Some(Figure {
        title: format!("The crest factor a meter takes: {name}"),
        caption,
        key,
        panels: vec![Panel {
            area: Rect::new(108.0, top_px, 1150.0, 562.0),
            x: Axis::numbers("reading", "% of the full scale", 100.0 * least, 103.0, 10)
                .without_grid(),
            y: Axis::numbers("crest factor, peak", "RMS values", 1.0, MOST_CREST, 6),
            items,
        }],
        zooms: Vec::new(),
        footnote: format!(
            "Invented data sheet; a crest factor given at full scale grows as the reading falls: \
             convention, from memory, not verified. Currents: solved circuit of {origin}."
        ),
    })
}

fn range_words(full_scale_a: f64) -> String {
    format!("{}\u{a0}A", numbers::plain(full_scale_a, 0))
}

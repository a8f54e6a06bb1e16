//! What a number on the display says about the current, against the band.

use crate::assess::instrument::{CorrectedReading, Instrument, StepCurrents, Terms, Verdict};
use crate::error::Result;
use crate::uncertainty::decision::Knowledge;

use super::layout::content_top_px;
use super::{
    Anchor, Axis, Dash, Figure, Ink, Item, KeyEntry, Panel, Rect, Stroke, TextLook, Weight, numbers,
};

/// Points of a curve.
const POINTS: usize = 400;
/// Height of the strip of numbers that may be shown, of the panel.
const STRIP: f64 = 0.085;

/// The true current behind a reading in the middle of the band, and behind the outermost readings that
/// may be shown, against the band; below, which readings are accepted and which rejected.
///
/// `None` when the meter shows nothing or its sheet states no accuracy here: nothing is known then.
///
/// # Errors
/// As [`Verdict::of_signals`].
pub fn reading_distribution_figure(
    instrument: &Instrument,
    currents: &StepCurrents,
    terms: &Terms,
) -> Result<Option<Figure>> {
    let signals = currents.signals();
    let verdict = Verdict::of_signals(instrument, currents, &signals, terms)?;
    let readings = instrument.read_all(&signals)?;
    let frequency_hz = currents.currents().first().map_or(0.0, |c| c.waveform.frequency_hz());
    let reading = CorrectedReading::new(instrument.sheet(), &readings, frequency_hz, terms);
    let (Some(reading), Some(centre)) = (reading, verdict.dead_centre) else { return Ok(None) };
    let band = (verdict.step.band.low_a(), verdict.step.band.high_a());
    let reach_a = 0.75 * (band.1 - band.0) + 2.0 * centre.standard_uncertainty_a;
    let middle_a = 0.5 * (band.0 + band.1);
    let (from_a, to_a) = (middle_a - reach_a, middle_a + reach_a);
    let density = |shown_a: f64| curve(&reading.knowledge(shown_a), from_a, to_a);
    let main = density(centre.shown_a);
    let top = main.iter().map(|(_, height)| *height).fold(f64::MIN_POSITIVE, f64::max);
    let scaled = |points: Vec<(f64, f64)>| -> Vec<(f64, f64)> {
        points.into_iter().map(|(x, y)| (x, STRIP + 0.05 + (0.82 - STRIP) * y / top)).collect()
    };
    let ink = Ink::of(instrument.sheet().detector.indication());
    let edge = Some(Stroke::solid(Ink::RoomEdge, 2.0));
    let mut items = vec![Item::Area { x: band, y: (STRIP + 0.05, 1.0), ink: Ink::Room, edge }];
    items.extend(strip(&verdict, reading.gain().middle_ratio(), (from_a, to_a)));
    let outer = verdict.set_band.filter(|set_band| set_band.high_a > set_band.low_a);
    for shown_a in outer.into_iter().flat_map(|set_band| [set_band.low_a, set_band.high_a]) {
        let stroke = Stroke::solid(ink, 2.0).with_dash(Dash::Dashed);
        items.push(Item::Curve { points: scaled(density(shown_a)), stroke });
    }
    items.push(Item::Curve { points: scaled(main), stroke: Stroke::solid(ink, 3.5) });
    let key = key(ink, outer.is_some());
    let caption = lesson(&verdict, terms);
    let top_px = content_top_px(&caption, &key) + 20.0;
    let origins = currents.currents().len();
    let first = currents.currents().first().map_or("", |current| current.origin.as_str());
    let more = if origins > 1 { format!(", {origins} possible currents") } else { String::new() };
    Ok(Some(Figure {
        title: format!(
            "{}, step {}, {}",
            capital(&super::drawable(instrument.name())),
            verdict.step.number,
            verdict.connection.words()
        ),
        caption,
        key,
        panels: vec![Panel {
            area: Rect::new(64.0, top_px, 1150.0, 566.0),
            x: Axis::numbers("true RMS current", "A", from_a, to_a, 9).without_grid(),
            y: Axis::bare(0.0, 1.0),
            items,
        }],
        zooms: Vec::new(),
        footnote: format!(
            "Heights: how likely a true current is. Current: {}{more}. Band: {}.",
            super::drawable(first),
            verdict.step.source
        ),
    }))
}

/// The density, by differences of the distribution function.
fn curve(knowledge: &Knowledge, from_a: f64, to_a: f64) -> Vec<(f64, f64)> {
    let step_a = (to_a - from_a) / POINTS as f64;
    (0..=POINTS)
        .map(|k| {
            let x = from_a + step_a * k as f64;
            let rise = knowledge.cdf(x + 0.5 * step_a) - knowledge.cdf(x - 0.5 * step_a);
            (x, rise / step_a)
        })
        .collect()
}

/// Accepted and rejected readings, each at the true current it is the best estimate of.
fn strip(verdict: &Verdict, gain: f64, (from_a, to_a): (f64, f64)) -> Vec<Item> {
    let y = (0.0, STRIP);
    let mut items = vec![Item::Area { x: (from_a, to_a), y, ink: Ink::Aside, edge: None }];
    let look = |ink| TextLook::new(17.0, Weight::Bold, ink);
    let label = |x: f64, text: String, anchor: Anchor, shift_px: f64| Item::Label {
        at: (x, 0.5 * STRIP),
        offset_px: (shift_px, 0.0),
        anchor,
        text,
        look: look(Ink::Text),
        upright: false,
    };
    let Some(set_band) = verdict.set_band else {
        let middle_a = 0.5 * (from_a + to_a);
        items.push(label(middle_a, "no reading may be accepted".into(), Anchor::Middle, 0.0));
        return items;
    };
    let accepted = (set_band.low_a / gain, set_band.high_a / gain);
    items.push(Item::Area { x: accepted, y, ink: Ink::Lighter, edge: None });
    for x in [accepted.0, accepted.1] {
        items.push(Item::Curve {
            points: vec![(x, 0.0), (x, STRIP)],
            stroke: Stroke::solid(Ink::Current, 2.0),
        });
    }
    let wide = accepted.1 - accepted.0 > 0.3 * (to_a - from_a);
    let text = format!("accepted: shows {} to {} A", set_band.low_a, set_band.high_a);
    if wide {
        items.push(label(0.5 * (accepted.0 + accepted.1), text, Anchor::Middle, 0.0));
        items.push(label(accepted.0, "rejected".into(), Anchor::End, -10.0));
    } else {
        items.push(label(accepted.0, text, Anchor::End, -10.0));
    }
    items.push(label(accepted.1, "rejected".into(), Anchor::Start, 10.0));
    items
}

fn key(ink: Ink, has_outer: bool) -> Vec<KeyEntry> {
    let mut key = vec![
        KeyEntry::shade(Ink::Room, "band of the step"),
        KeyEntry::shade(ink, "current behind a reading dead centre"),
    ];
    if has_outer {
        key.push(KeyEntry::shade(Ink::Lighter, "readings to accept (ends dashed)"));
    }
    key
}

fn lesson(verdict: &Verdict, terms: &Terms) -> String {
    let asked = numbers::plain(100.0 * terms.conformance_probability, 1);
    let best = verdict.dead_centre.map_or(0.0, |centre| centre.conformance_probability);
    let best = numbers::plain(100.0 * best, 1);
    match verdict.set_band {
        Some(set_band) => format!(
            "{}: {}\u{a0}% of the band is left to set in, so that the true current is inside with \
             {asked}\u{a0}%.",
            capital(verdict.suitability.words()),
            numbers::plain(100.0 * set_band.kept_ratio, 0)
        ),
        None => format!(
            "{}: even a reading dead centre proves the band with {best}\u{a0}% only, less than \
             {asked}\u{a0}%.",
            capital(verdict.suitability.words())
        ),
    }
}

fn capital(words: &str) -> String {
    let mut characters = words.chars();
    characters.next().map_or_else(String::new, |first| {
        first.to_uppercase().collect::<String>() + characters.as_str()
    })
}

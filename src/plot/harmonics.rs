//! The harmonics of a step's current.

use crate::assess::StepResult;
use crate::spectrum::HarmonicLine;

use super::layout::content_top_px;
use super::{Anchor, Axis, Figure, Ink, Item, KeyEntry, Panel, Rect, TextLook, Tick, Weight};
use super::{numbers, ticks};

/// Orders drawn.
const SHOWN: std::ops::RangeInclusive<usize> = 2..=25;
/// Orders the distortion is taken over: the range power-quality meters usually take (from memory).
const THD_ORDERS: usize = 50;
/// Bars below this are not drawn: nobody would see them.
const BAR_FROM_PERCENT: f64 = 0.005;
/// Bars below this carry no number: it would read 0.0.
const NUMBER_FROM_PERCENT: f64 = 0.05;
/// Bars below this carry no phase: it would be the phase of noise.
const PHASE_FROM_PERCENT: f64 = 0.5;

/// The harmonics of a step's current as bars in percent of the fundamental, with the phase of the
/// larger ones and the total harmonic distortion.
#[must_use]
pub fn harmonics_figure(result: &StepResult) -> Figure {
    let spectrum = &result.spectrum;
    let fundamental_a = spectrum.fundamental_rms_a();
    let percent = |line: &HarmonicLine| {
        if fundamental_a > 0.0 { 100.0 * line.rms_a / fundamental_a } else { 0.0 }
    };
    let bars: Vec<(HarmonicLine, f64)> =
        spectrum.lines(SHOWN).map(|line| (line, percent(&line))).collect();
    let most = bars.iter().map(|(_, percent)| *percent).fold(0.8, f64::max);
    let first_rad = spectrum.line(1).map_or(0.0, |line| line.phase_rad);

    let mut items: Vec<Item> = bars
        .iter()
        .filter(|(_, percent)| *percent >= BAR_FROM_PERCENT)
        .map(|(line, percent)| bar(line, *percent))
        .collect();
    for (line, percent) in &bars {
        if *percent < NUMBER_FROM_PERCENT {
            continue;
        }
        let decimals = if *percent < 99.5 { 1 } else { 0 };
        let number = numbers::plain(*percent, decimals);
        let bold = TextLook::new(17.0, Weight::Bold, Ink::Text);
        items.push(above(line.order, *percent, 15.0, number, bold));
        if *percent >= PHASE_FROM_PERCENT {
            let phase_rad = line.phase_rad - line.order as f64 * first_rad;
            let small = TextLook::new(16.0, Weight::Regular, Ink::Muted);
            items.push(above(line.order, *percent, 36.0, whole_degrees(phase_rad), small));
        }
    }
    let held = spectrum.highest_order();
    items.push(distortion(spectrum.thd_ratio(THD_ORDERS), THD_ORDERS.min(held)));

    let key = vec![
        KeyEntry::shade(Ink::Current, "odd order"),
        KeyEntry::shade(Ink::Lighter, "even order"),
    ];
    let mut x = Axis::names(
        "frequency",
        &format!("multiples of {}\u{a0}Hz", hertz(spectrum.fundamental_hz())),
        Vec::new(),
    );
    (x.from, x.to) = (1.4, 25.6);
    x.ticks = SHOWN
        .map(|order| Tick { at: order as f64, text: order.to_string(), line: false })
        .collect();
    let y = Axis::numbers(
        "size of each harmonic",
        "% of the fundamental",
        0.0,
        ticks::round_outwards(1.22 * most, 10),
        8,
    );
    let caption = "Size is only half of the story: with the same bars, the phase (the small \
                   figures) decides whether an average-responding meter reads high or low."
        .to_owned();
    let area = Rect::new(88.0, content_top_px(&caption, &key) + 38.0, 1170.0, 574.0);
    Figure {
        title: format!(
            "Step {} at {}: the harmonics of its current",
            result.step.number,
            numbers::amperes(result.step.nominal.a())
        ),
        caption,
        key,
        panels: vec![Panel { area, x, y, items }],
        zooms: Vec::new(),
        footnote: format!(
            "Current: {}. Phase of each harmonic where the fundamental rises through zero.{}",
            result.origin,
            unknown(held)
        ),
    }
}

/// An order the samples cannot hold has no bar because it is unknown, not because it is nil.
fn unknown(held: usize) -> String {
    if held < *SHOWN.end() {
        format!(" Too few samples to tell orders above {held}.")
    } else {
        String::new()
    }
}

fn bar(line: &HarmonicLine, percent: f64) -> Item {
    let at = line.order as f64;
    let ink = if line.order % 2 == 1 { Ink::Current } else { Ink::Lighter };
    Item::Area { x: (at - 0.34, at + 0.34), y: (0.0, percent), ink, edge: None }
}

fn above(order: usize, percent: f64, up_px: f64, text: String, look: TextLook) -> Item {
    Item::Label {
        at: (order as f64, percent),
        offset_px: (0.0, -up_px),
        anchor: Anchor::Middle,
        text,
        look,
        upright: false,
    }
}

fn distortion(thd_ratio: Option<f64>, top: usize) -> Item {
    let text = match thd_ratio {
        Some(ratio) => format!(
            "THD {}\u{a0}% of the fundamental (orders 2 to {top})",
            numbers::plain(100.0 * ratio, 2)
        ),
        None => "no fundamental, so no THD".into(),
    };
    Item::Label {
        at: (f64::MAX, f64::MAX),
        offset_px: (0.0, -23.0),
        anchor: Anchor::End,
        text,
        look: TextLook::new(20.0, Weight::Bold, Ink::Text),
        upright: false,
    }
}

/// A frequency with as many decimals as it needs, two at most.
fn hertz(frequency_hz: f64) -> String {
    let text = numbers::plain(frequency_hz, 2);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// An angle as whole degrees from 0 to 359: rounded first, so that a full turn becomes 0.
fn whole_degrees(angle_rad: f64) -> String {
    format!("{}°", (angle_rad.to_degrees().round() as i64).rem_euclid(360))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exact_whole_degrees_go_round_once() {
        let texts =
            [-1e-9, 180.0, -180.0, 359.7, -90.0].map(|deg: f64| whole_degrees(deg.to_radians()));
        assert_eq!(texts, ["0°", "180°", "180°", "0°", "270°"], "arithmetic of angles");
    }
}

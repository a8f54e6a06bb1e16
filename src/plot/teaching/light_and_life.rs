//! What setting by each meter does to light and lamp life.

use crate::lamp::LifeChange;
use crate::meter::Detector;
use crate::regulator::Step;

use super::super::layout::content_top_px;
use super::super::{
    Anchor, Axis, Face, Figure, Ink, Item, KeyEntry, Marker, Panel, Rect, Stroke, TextLook, Weight,
    numbers,
};
use super::mark;

/// A step after it was set until a meter showed its nominal.
#[derive(Clone, Debug)]
pub struct SetByMeter {
    /// The step.
    pub step: Step,
    /// The meter's law.
    pub detector: Detector,
    /// True RMS current that then flows.
    pub true_rms_a: f64,
    /// Light against that of the nominal current; `None` beyond the lamp law.
    pub light_ratio: Option<f64>,
    /// Whether the current is near enough to the nominal for that number to be more than a rough one.
    pub light_credible: bool,
    /// Life against that of the nominal current.
    pub life: LifeChange,
}

/// Light at every step, and lamp life at the top step, after setting by each meter. `setting` says at
/// which load it was set; `origin` where the currents come from, without a full stop.
#[must_use]
pub fn light_and_life_figure(set: &[SetByMeter], setting: &str, origin: &str) -> Figure {
    let mut steps: Vec<&Step> = Vec::new();
    let mut detectors: Vec<Detector> = Vec::new();
    for one in set {
        if steps.iter().all(|step| step.number != one.step.number) {
            steps.push(&one.step);
        }
        if !detectors.contains(&one.detector) {
            detectors.push(one.detector);
        }
    }
    let caption = lesson(set, setting);
    let key: Vec<KeyEntry> = detectors
        .iter()
        .map(|law| {
            KeyEntry::mark(
                Marker::of(*law),
                Ink::of(law.indication()),
                format!("set by: {}", law.words()),
            )
        })
        .collect();
    let top_px = content_top_px(&caption, &key) + 38.0;
    let change = |ratio: f64| 100.0 * (ratio - 1.0);
    let lights = set.iter().filter_map(|one| one.light_ratio).map(change);
    let (low, high) = lights.fold((0.0_f64, 0.0_f64), |(l, h), c| (l.min(c), h.max(c)));
    let room = 0.16 * (high - low).max(10.0);
    let names = steps
        .iter()
        .map(|step| format!("step {}\n{}", step.number, numbers::amperes(step.nominal.a())));
    let light = Panel {
        area: Rect::new(108.0, top_px, 790.0, 546.0),
        x: Axis::names("brightness step and its nominal", "A", names.collect()),
        y: Axis::numbers("change of light", "%", low - room, high + room, 8),
        items: set
            .iter()
            .filter_map(|one| {
                let slot = steps.iter().position(|step| step.number == one.step.number)?;
                let column = detectors.iter().position(|law| *law == one.detector)?;
                let at = (place(slot, column, detectors.len()), change(one.light_ratio?));
                Some(stem_and_mark(at, one.detector, light_words(one, 0)))
            })
            .flatten()
            .collect(),
    };
    let top = steps.iter().max_by(|a, b| a.nominal.a().total_cmp(&b.nominal.a()));
    let lives: Vec<(usize, &SetByMeter, f64)> = set
        .iter()
        .filter(|one| top.is_some_and(|top| top.number == one.step.number))
        .filter_map(|one| {
            let LifeChange::Ratio(ratio) = one.life else { return None };
            Some((detectors.iter().position(|law| *law == one.detector)?, one, ratio))
        })
        .collect();
    let (low, high) = lives.iter().fold((0.0_f64, 0.0_f64), |(l, h), (.., ratio)| {
        (l.min(change(*ratio)), h.max(change(*ratio)))
    });
    let room = 0.2 * (high - low).max(10.0);
    let name = top.map_or_else(String::new, |top| {
        format!("step {}\n{}", top.number, numbers::amperes(top.nominal.a()))
    });
    let life = Panel {
        area: Rect::new(930.0, top_px, 1160.0, 546.0),
        x: Axis::names("the top step", "", vec![name]),
        y: Axis::numbers("change of lamp life", "%", low - room, high + room, 8),
        items: lives
            .iter()
            .flat_map(|(column, one, ratio)| {
                let at = (place(0, *column, detectors.len()), change(*ratio));
                stem_and_mark(at, one.detector, numbers::signed(at.1, 0))
            })
            .collect(),
    };
    Figure {
        title: "What a wrong meter does to light and lamps".into(),
        caption,
        key,
        panels: vec![light, life],
        zooms: Vec::new(),
        footnote: format!(
            "Ideal meters, trimmed until they show the nominal, {setting}. Lamp power laws (~: beyond their \
             range), life only near the rated current. Currents: solved circuit of {origin}."
        ),
    }
}

fn place(slot: usize, column: usize, columns: usize) -> f64 {
    (column as f64 + 0.5).mul_add(0.9 / columns.max(1) as f64, slot as f64 - 0.45)
}

fn stem_and_mark(at: (f64, f64), law: Detector, text: String) -> [Item; 3] {
    let ink = Ink::of(law.indication());
    let up = if at.1 < 0.0 { 20.0 } else { -20.0 };
    [
        Item::Curve { points: vec![(at.0, 0.0), at], stroke: Stroke::solid(ink, 3.0) },
        mark(at, Marker::of(law), ink, Face::Full, 8.0),
        Item::Label {
            at,
            offset_px: (0.0, up),
            anchor: Anchor::Middle,
            text,
            look: TextLook::new(17.0, Weight::Bold, ink),
            upright: false,
        },
    ]
}

fn lesson(set: &[SetByMeter], setting: &str) -> String {
    let worst =
        set.iter().filter(|one| one.light_ratio.is_some()).max_by(|a, b| off(a).total_cmp(&off(b)));
    let Some(worst) = worst else {
        return "No meter's trimming stays within what the lamp laws know.".into();
    };
    let current = worst.true_rms_a / worst.step.nominal.a() - 1.0;
    let life: Vec<String> = set
        .iter()
        .filter_map(|one| {
            let LifeChange::Ratio(ratio) = one.life else { return None };
            (one.detector != Detector::TrueRms(one.detector.coupling()) && ratio > 0.0).then(|| {
                let size = numbers::signed(100.0 * (ratio - 1.0), 0);
                format!("{size}\u{a0}% ({}, step {})", short(one.detector), one.step.number)
            })
        })
        .collect();
    let life =
        if life.is_empty() { String::new() } else { format!(" Lamp life: {}.", life.join(", ")) };
    format!(
        "Set by a meter with the {} law, {setting}, step {} carries {} too {}: its light is {}.{life}",
        short(worst.detector),
        worst.step.number,
        format_args!("{}\u{a0}%", numbers::plain(100.0 * current.abs(), 1)),
        if current < 0.0 { "little" } else { "much" },
        format_args!("{}\u{a0}%", light_words(worst, 1)),
    )
}

/// The change of light in percent, with "~" and no decimals where the law is only rough.
fn light_words(one: &SetByMeter, decimals: usize) -> String {
    let percent = 100.0 * (one.light_ratio.unwrap_or(1.0) - 1.0);
    if one.light_credible {
        numbers::signed(percent, decimals)
    } else {
        format!("~\u{a0}{}", numbers::signed(percent, 0))
    }
}

/// How far from its nominal the light is.
fn off(one: &SetByMeter) -> f64 {
    (one.light_ratio.unwrap_or(1.0) - 1.0).abs()
}

fn short(law: Detector) -> &'static str {
    match law {
        Detector::TrueRms(_) => "true-RMS",
        Detector::AverageResponding(_) => "average-responding",
        Detector::PeakResponding(_) => "peak-responding",
        Detector::MovingIron => "moving-iron",
        Detector::RectifierMovingCoil => "rectifier",
    }
}

//! The load of a field against the rating of its regulator.

use crate::series::{LoadComparison, LoadMargin};

use super::layout::content_top_px;
use super::numbers;
use super::{
    Anchor, Axis, Dash, Figure, Ink, Item, KeyEntry, Panel, Rect, Stroke, TextLook, Weight,
};

const BOTTOM_PX: f64 = 540.0;
/// Half of a bar's height; names stand one apart.
const HALF: f64 = 0.3;
/// Room for the names of the bars.
const LEFT_PX: f64 = 190.0;

/// Two lines of labels above the bars.
const LOW_PX: f64 = -16.0;
const HIGH_PX: f64 = -40.0;

/// One part of a bar.
struct Part {
    name: &'static str,
    value_va: f64,
    unit: &'static str,
    ink: Ink,
}

/// What lamps, transformers, cable and electronics take, added as numbers, against rating and tap;
/// below it what the solved circuit takes, when it is given.
///
/// `origin` says where the regulator's values come from and ends without a full stop.
#[must_use]
pub fn load_bar_figure(
    margin: &LoadMargin,
    solved: Option<&LoadComparison>,
    origin: &str,
) -> Figure {
    let load = &margin.load;
    let part = |name, value_va, unit, ink| Part { name, value_va, unit, ink };
    let calculated = [
        part("lamps", load.lamp_w, "W", Ink::Shade(6)),
        part("transformers", load.loss_w, "W", Ink::Shade(2)),
        part("cable", load.cable_w, "W", Ink::Shade(4)),
        part("electronics", load.electronic_va, "VA", Ink::Shade(1)),
    ];
    let solved = solved.map(|comparison| {
        let power = &comparison.solved;
        [
            part("active, solved", power.active_w, "W", Ink::Shade(7)),
            part("the rest of S", power.apparent_va - power.active_w, "VA", Ink::Shade(3)),
        ]
    });
    let mut bars: Vec<(&str, &[Part])> = Vec::new();
    if let Some(parts) = &solved {
        bars.push(("solved", parts));
    }
    bars.push(("calculated", &calculated));
    let key: Vec<KeyEntry> = calculated
        .iter()
        .chain(solved.iter().flatten())
        .map(|part| {
            KeyEntry::shade(part.ink, format!("{} {}", part.name, kilo(part.value_va, part.unit)))
        })
        .collect();
    let caption = lesson(margin, solved.as_ref().map(|parts| total(parts)));
    let top_px = content_top_px(&caption, &key) + 64.0;
    let longest = bars.iter().map(|(_, parts)| total(parts)).fold(margin.rated_va, f64::max);
    let mut items: Vec<Item> =
        bars.iter().enumerate().flat_map(|(at, (_, parts))| bar(at as f64, parts)).collect();
    let top = bars.len() as f64 - 0.5;
    items.extend(limits(margin, top));
    let names = bars.iter().map(|(name, _)| (*name).to_owned()).collect();
    Figure {
        title: "How full the regulator is".into(),
        caption,
        key,
        panels: vec![Panel {
            area: Rect::new(LEFT_PX, top_px, 1150.0, BOTTOM_PX),
            x: Axis::numbers("apparent power", "kVA", 0.0, 1.06 * longest / 1e3, 10),
            y: Axis::names("", "", names),
            items,
        }],
        zooms: Vec::new(),
        footnote: format!(
            "Calculated: watts and volt-amperes added as numbers at {}. Solved: the brightest step \
             of {origin}.",
            numbers::amperes(load.current_rms_a)
        ),
    }
}

fn total(parts: &[Part]) -> f64 {
    parts.iter().map(|part| part.value_va).sum()
}

fn kilo(value: f64, unit: &str) -> String {
    format!("{}\u{a0}k{unit}", numbers::plain(value / 1e3, 2))
}

/// The parts one behind the other, and their sum behind them.
fn bar(y: f64, parts: &[Part]) -> Vec<Item> {
    let mut items = Vec::new();
    let mut from = 0.0;
    for part in parts {
        let to = from + part.value_va / 1e3;
        items.push(Item::Area {
            x: (from, to),
            y: (y - HALF, y + HALF),
            ink: part.ink,
            edge: None,
        });
        let border = vec![(to, y - HALF), (to, y + HALF)];
        items.push(Item::Curve { points: border, stroke: Stroke::solid(Ink::Background, 2.0) });
        from = to;
    }
    items.push(Item::Label {
        at: (from, y),
        offset_px: (8.0, 0.0),
        anchor: Anchor::Start,
        text: kilo(1e3 * from, "VA"),
        look: TextLook::new(18.0, Weight::Bold, Ink::Text),
        upright: false,
    });
    items
}

/// Rating, tap, and the share of it from which the current is least distorted.
fn limits(margin: &LoadMargin, top: f64) -> Vec<Item> {
    let rated = margin.rated_va / 1e3;
    let tap = margin.tap_ratio * rated;
    let percent = |ratio: f64| format!("{}\u{a0}%", numbers::plain(100.0 * ratio, 0));
    let desired = format!("{} of it", percent(LoadMargin::DESIRED_SHARE));
    let mut limits = vec![(LoadMargin::DESIRED_SHARE * tap, Dash::Dotted, desired, LOW_PX)];
    if margin.tap_ratio < 1.0 {
        // A line higher: on a small tap it stands close to its share.
        limits.push((tap, Dash::Dashed, format!("tap {}", percent(margin.tap_ratio)), HIGH_PX));
    }
    limits.push((rated, Dash::Solid, "rated".to_owned(), LOW_PX));
    let mut items = Vec::new();
    for (x, dash, text, up_px) in limits {
        items.push(Item::Curve {
            points: vec![(x, -0.5), (x, top)],
            stroke: Stroke::solid(Ink::Text, 2.5).with_dash(dash),
        });
        items.push(Item::Label {
            at: (x, top),
            offset_px: (0.0, up_px),
            anchor: Anchor::Middle,
            text,
            look: TextLook::new(17.0, Weight::Bold, Ink::Text),
            upright: false,
        });
    }
    items
}

fn lesson(margin: &LoadMargin, solved_va: Option<f64>) -> String {
    let share = numbers::plain(100.0 * margin.share_of_tap(), 0);
    let room = if margin.spare_va() < 0.0 {
        format!("the load is {} beyond it", kilo(-margin.spare_va(), "VA"))
    } else {
        format!("{} are left", kilo(margin.spare_va(), "VA"))
    };
    let of = if margin.tap_ratio < 1.0 { "what the tap gives" } else { "the rating" };
    let solved = solved_va.map_or_else(String::new, |solved_va| {
        let change = solved_va / margin.load.apparent_va() - 1.0;
        let than = if change < 0.0 { "less" } else { "more" };
        let size = numbers::plain(100.0 * change.abs(), 1);
        format!(" The solved circuit takes {size}\u{a0}% {than}.")
    });
    format!("Added as numbers, the field takes {share}\u{a0}% of {of}; {room}.{solved}")
}

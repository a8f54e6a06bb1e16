//! How an interval settled.

use crate::study::{CircuitEstimate, EstimatedOutput, OutputEstimate};

use super::intervals::{axis, footnote, in_axis_unit, widest};
use super::layout::content_top_px;
use super::{
    Axis, Callout, Figure, Ink, Item, KeyEntry, Panel, Rect, Stroke, TextLook, Weight, numbers,
};

const RIGHT_PX: f64 = 900.0;
const COLUMN_PX: f64 = 40.0;

/// Ends and middle of the crest factor's 95 % interval against the number of circuits, at the step
/// where it is least certain; shaded, how well the last ones are known.
///
/// `circuit` says what was solved.
#[must_use]
pub fn convergence_figure(estimate: &CircuitEstimate, circuit: &str) -> Figure {
    let known =
        widest(estimate).and_then(|step| Some((step, step.output(EstimatedOutput::CrestFactor)?)));
    let caption = match known {
        Some((step, crest)) => format!(
            "Step {}: after {} circuits the ends of the interval are known to {} and {}.",
            step.step,
            step.held,
            half_width(crest.low.low, crest.low.high),
            half_width(crest.high.low, crest.high.high)
        ),
        None => "No step is held by enough circuits.".into(),
    };
    let key = vec![KeyEntry::shade(Ink::Room, "95 % confidence of each end, from its rank")];
    let top_px = content_top_px(&caption, &key) + 38.0;
    let area = Rect::new(108.0, top_px, RIGHT_PX, 570.0);
    Figure {
        title: "How the interval settled".into(),
        caption,
        key,
        panels: known.map(|(_, crest)| panel(crest, area)).into_iter().collect(),
        zooms: Vec::new(),
        footnote: footnote(estimate, circuit),
    }
}

fn half_width(from: f64, to: f64) -> String {
    format!("±{}", numbers::plain(0.5 * (to - from), 3))
}

fn panel(crest: &OutputEstimate, area: Rect) -> Panel {
    let trace = &crest.convergence;
    let end = trace.last().map_or(1.0, |point| point.held as f64);
    let mut items = Vec::new();
    for quantile in [crest.low, crest.high] {
        items.push(Item::Area {
            x: (0.0, end),
            y: (quantile.low, quantile.high),
            ink: Ink::Room,
            edge: None,
        });
    }
    let curves = [
        ("97.5 %", trace.iter().map(|p| (p.held, p.high)).collect::<Vec<_>>(), 4.0, Ink::Current),
        ("median", trace.iter().map(|p| (p.held, p.median)).collect(), 3.0, Ink::TrueRms),
        ("2.5 %", trace.iter().map(|p| (p.held, p.low)).collect(), 4.0, Ink::Current),
    ];
    let mut entries = Vec::new();
    for (name, points, width_px, ink) in curves {
        let points: Vec<(f64, f64)> = points.iter().map(|(n, y)| (*n as f64, *y)).collect();
        if let Some((x, y)) = points.last().copied() {
            let look = TextLook::new(18.0, Weight::Bold, ink);
            let lines = vec![(format!("{name}: {}", numbers::plain(y, 3)), look)];
            entries.push(Callout { x, y, lines, ink });
        }
        items.push(Item::Curve { points, stroke: Stroke::solid(ink, width_px) });
    }
    items.push(Item::Callouts { offset_px: COLUMN_PX, entries });
    let values = trace.iter().flat_map(|p| [p.low, p.high]);
    let values = values.chain([crest.low.low, crest.high.high]);
    let (least, most) = values
        .map(|value| in_axis_unit(crest.output, value))
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), v| (least.min(v), most.max(v)));
    Panel {
        area,
        x: Axis::numbers("sample size", "circuits", 0.0, end, 6).without_grid(),
        y: axis(crest.output, least, most),
        items,
    }
}

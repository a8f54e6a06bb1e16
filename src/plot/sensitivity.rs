//! Which tolerance is behind an interval.

use crate::study::{CircuitEstimate, EstimatedOutput, StepEstimate};
use crate::uncertainty::SensitivityIndex;

use super::intervals::{footnote, widest};
use super::layout::content_top_px;
use super::{
    Anchor, Axis, Figure, Ink, Item, KeyEntry, Panel, Rect, Stroke, TextLook, Tick, Weight, numbers,
};

const BOTTOM_PX: f64 = 570.0;
/// Left and right edges of the panels.
const PANELS_PX: [(f64, f64); 3] = [(210.0, 500.0), (550.0, 830.0), (880.0, 1160.0)];
/// Groups beyond so many have no room.
const MOST: usize = 12;
/// Half the heights of the bars of both indices.
const HALVES: (f64, f64) = (0.34, 0.2);

/// First-order and total indices of every output at the step whose crest factor is least certain,
/// the strongest group on top.
///
/// `circuit` says what was solved.
#[must_use]
pub fn sensitivity_figure(estimate: &CircuitEstimate, circuit: &str) -> Figure {
    let step = widest(estimate);
    let order = step.map(strongest_first).unwrap_or_default();
    let order = &order[..order.len().min(MOST)];
    let caption = match step {
        Some(step) if !order.is_empty() => lesson(estimate, step),
        _ => "No indices: too few circuits hold a step, or none were asked for.".into(),
    };
    let key = vec![
        KeyEntry::shade(Ink::Room, "total: remains when all else is known"),
        KeyEntry::shade(Ink::Current, "first order: vanishes when this is known"),
    ];
    let top_px = content_top_px(&caption, &key) + 8.0;
    let panels = match step {
        Some(step) if !order.is_empty() => EstimatedOutput::ALL
            .into_iter()
            .zip(PANELS_PX)
            .enumerate()
            .map(|(at, (output, (left_px, right_px)))| {
                let area = Rect::new(left_px, top_px, right_px, BOTTOM_PX);
                panel(estimate, step, order, output, area, at == 0)
            })
            .collect(),
        _ => Vec::new(),
    };
    Figure {
        title: "Which tolerance matters".into(),
        caption,
        key,
        panels,
        zooms: Vec::new(),
        footnote: format!(
            "Thin lines: 95 % confidence of the bars from {} pairs of circuits. {}",
            estimate.options.pairs,
            footnote(estimate, circuit)
        ),
    }
}

/// Places of the groups by their total index on the crest factor, the largest first.
fn strongest_first(step: &StepEstimate) -> Vec<usize> {
    let crest = step.output(EstimatedOutput::CrestFactor);
    let Some(indices) = crest.and_then(|crest| crest.indices.as_ref()) else { return Vec::new() };
    let mut order: Vec<usize> = (0..indices.len()).collect();
    order.sort_by(|a, b| indices[*b].total_ratio.total_cmp(&indices[*a].total_ratio));
    order
}

fn lesson(estimate: &CircuitEstimate, step: &StepEstimate) -> String {
    let name = |output: &EstimatedOutput| {
        let known = step.output(*output)?;
        let groups: Vec<&str> =
            known.mostly().into_iter().map(|group| estimate.groups[group].as_str()).collect();
        let words =
            if groups.is_empty() { "no two inputs".to_owned() } else { groups.join(" and ") };
        Some(format!("{}: {words}", output.words()))
    };
    let told: Vec<String> = EstimatedOutput::ALL.iter().filter_map(name).collect();
    format!("Step {}, behind more than half of the variance of: {}.", step.step, told.join("; "))
}

fn panel(
    estimate: &CircuitEstimate,
    step: &StepEstimate,
    order: &[usize],
    output: EstimatedOutput,
    area: Rect,
    with_names: bool,
) -> Panel {
    let indices = step.output(output).and_then(|known| known.indices.as_ref());
    let last = order.len() as f64 - 0.5;
    // The strongest stands on top: names count from below.
    let place = |rank: usize| (order.len() - 1 - rank) as f64;
    let mut y = Axis::bare(-0.5, last);
    if with_names {
        let tick = |(rank, group): (usize, &usize)| Tick {
            at: place(rank),
            text: estimate.groups[*group].clone(),
            line: false,
        };
        y.ticks = order.iter().enumerate().map(tick).collect();
    }
    let most = indices.into_iter().flatten().map(|index| {
        let first = index.first_order_ratio + 2.0 * index.first_order_error;
        first.max(index.total_ratio + 2.0 * index.total_error)
    });
    let end = (100.0 * most.fold(0.0, f64::max)).max(20.0) * 1.18;
    let label = match output {
        EstimatedOutput::CrestFactor => "crest factor",
        EstimatedOutput::AverageError => "average meter",
        EstimatedOutput::OutputPeak => "output peak",
    };
    let x = Axis::numbers(label, "% of variance", 0.0, end, 4);
    let bars = order.iter().enumerate().filter_map(|(rank, group)| {
        let index = indices?.get(*group)?;
        Some(bars(place(rank), index))
    });
    Panel { area, x, y, items: bars.flatten().collect() }
}

fn bars(y: f64, index: &SensitivityIndex) -> Vec<Item> {
    let percent = |ratio: f64| 100.0 * ratio.max(0.0);
    let bar = |ratio, half, ink| Item::Area {
        x: (0.0, percent(ratio)),
        y: (y - half, y + half),
        ink,
        edge: None,
    };
    let whisker = |ratio: f64, error: f64, y: f64| Item::Curve {
        points: vec![(percent(ratio - 1.96 * error), y), (percent(ratio + 1.96 * error), y)],
        stroke: Stroke::solid(Ink::Text, 1.5),
    };
    let end = (index.total_ratio + 1.96 * index.total_error)
        .max(index.first_order_ratio + 1.96 * index.first_order_error);
    vec![
        bar(index.total_ratio, HALVES.0, Ink::Room),
        bar(index.first_order_ratio, HALVES.1, Ink::Current),
        whisker(index.total_ratio, index.total_error, y + 0.27),
        whisker(index.first_order_ratio, index.first_order_error, y),
        Item::Label {
            at: (percent(end), y),
            offset_px: (8.0, 0.0),
            anchor: Anchor::Start,
            text: format!("{}\u{a0}%", numbers::plain(percent(index.total_ratio), 0)),
            look: TextLook::new(16.0, Weight::Bold, Ink::Text),
            upright: false,
        },
    ]
}

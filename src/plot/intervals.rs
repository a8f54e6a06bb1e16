//! What the tolerances leave open, step by step.

use crate::study::{CircuitEstimate, EstimatedOutput, OutputEstimate, StepEstimate};

use super::layout::content_top_px;
use super::{Axis, Face, Figure, Ink, Item, KeyEntry, Marker, Panel, Rect, Stroke, numbers};

const BOTTOM_PX: f64 = 535.0;
/// Left and right edges of the panels.
const PANELS_PX: [(f64, f64); 3] = [(100.0, 420.0), (490.0, 790.0), (870.0, 1170.0)];
/// Half the width of the caps at the ends of an interval, in places of the axis.
const CAP: f64 = 0.16;

/// The 95 % intervals of crest factor, average-responding error and output peak at every step.
///
/// `circuit` says what was solved.
#[must_use]
pub fn intervals_figure(estimate: &CircuitEstimate, circuit: &str) -> Figure {
    let caption = widest(estimate)
        .and_then(|step| estimate.sentence(step))
        .map_or_else(|| "No step is held by enough circuits.".into(), |text| text + ".");
    let key = vec![
        KeyEntry::mark(Marker::Upright, Ink::Current, "95 % of the circuits that hold the step"),
        KeyEntry::mark(Marker::Circle, Ink::Current, "median"),
        KeyEntry {
            marker: Some((Marker::Diamond, Face::Open)),
            ink: Ink::TrueRms,
            text: "every number as described".into(),
        },
    ];
    let top_px = content_top_px(&caption, &key) + 38.0;
    let panel = |(output, (left_px, right_px)): (EstimatedOutput, (f64, f64))| {
        panel(estimate, output, Rect::new(left_px, top_px, right_px, BOTTOM_PX))
    };
    Figure {
        title: "What the tolerances leave open".into(),
        caption,
        key,
        panels: EstimatedOutput::ALL.into_iter().zip(PANELS_PX).map(panel).collect(),
        zooms: Vec::new(),
        footnote: footnote(estimate, circuit),
    }
}

/// The step whose crest factor is least certain.
pub(super) fn widest(estimate: &CircuitEstimate) -> Option<&StepEstimate> {
    let width = |step: &StepEstimate| {
        step.output(EstimatedOutput::CrestFactor).map(|crest| crest.high.value - crest.low.value)
    };
    let known = estimate.steps.iter().filter_map(|step| Some((step, width(step)?)));
    known.max_by(|(_, a), (_, b)| a.total_cmp(b)).map(|(step, _)| step)
}

/// Where the numbers come from.
pub(super) fn footnote(estimate: &CircuitEstimate, circuit: &str) -> String {
    let circuits = estimate.steps.first().map_or(0, |step| step.circuits);
    let generic = estimate.tolerances.iter().filter(|tolerance| tolerance.is_generic).count();
    format!(
        "{circuits} solved circuits of a {circuit}: {}. {generic} of {} tolerances are ours, without a \
         source.",
        estimate.values_origin.short(),
        estimate.tolerances.len()
    )
}

/// An output in the unit of its axis.
pub(super) fn in_axis_unit(output: EstimatedOutput, value: f64) -> f64 {
    match output {
        EstimatedOutput::AverageError => 100.0 * value,
        EstimatedOutput::CrestFactor | EstimatedOutput::OutputPeak => value,
    }
}

/// The axis of an output.
pub(super) fn axis(output: EstimatedOutput, least: f64, most: f64) -> Axis {
    let room = 0.08 * (most - least).max(1e-3);
    let (from, to) = (least - room, most + room);
    match output {
        EstimatedOutput::CrestFactor => {
            Axis::numbers("crest factor, peak", "RMS values", from, to, 8)
        }
        EstimatedOutput::AverageError => Axis::numbers("average meter, error", "%", from, to, 8),
        EstimatedOutput::OutputPeak => Axis::numbers("output voltage, peak", "V", from, to, 8),
    }
}

fn panel(estimate: &CircuitEstimate, output: EstimatedOutput, area: Rect) -> Panel {
    let known: Vec<(usize, &OutputEstimate)> = estimate
        .steps
        .iter()
        .enumerate()
        .filter_map(|(at, step)| Some((at, step.output(output)?)))
        .collect();
    let values = known.iter().flat_map(|(_, known)| {
        [Some(known.low.value), Some(known.high.value), known.nominal].into_iter().flatten()
    });
    let values = values.map(|value| in_axis_unit(output, value));
    let (least, most) = values
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), v| (least.min(v), most.max(v)));
    let (least, most) = if least <= most { (least, most) } else { (0.0, 1.0) };
    let name = |step: &StepEstimate| {
        format!("{}\n{}\u{a0}A", step.step, numbers::plain(step.nominal_rms_a, 1))
    };
    Panel {
        area,
        x: Axis::names("brightness step", "", estimate.steps.iter().map(name).collect()),
        y: axis(output, least, most),
        items: known
            .into_iter()
            .flat_map(|(at, known)| interval(at as f64, output, known))
            .collect(),
    }
}

fn interval(x: f64, output: EstimatedOutput, known: &OutputEstimate) -> Vec<Item> {
    let y = |value: f64| in_axis_unit(output, value);
    let (low, high) = (y(known.low.value), y(known.high.value));
    let line =
        |points, width_px| Item::Curve { points, stroke: Stroke::solid(Ink::Current, width_px) };
    let mark = |value, offset_px, marker, ink, face| Item::Mark {
        at: (x, y(value)),
        offset_px,
        marker,
        ink,
        face,
        radius_px: 7.0,
    };
    let mut items = vec![
        line(vec![(x, low), (x, high)], 4.0),
        line(vec![(x - CAP, low), (x + CAP, low)], 3.0),
        line(vec![(x - CAP, high), (x + CAP, high)], 3.0),
        mark(known.median, (0.0, 0.0), Marker::Circle, Ink::Current, Face::Full),
    ];
    items.extend(
        known
            .nominal
            .map(|nominal| mark(nominal, (16.0, 0.0), Marker::Diamond, Ink::TrueRms, Face::Open)),
    );
    items
}

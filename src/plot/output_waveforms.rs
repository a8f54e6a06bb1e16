//! The current of one step with the output shorted and with the field connected.

use crate::assess::instrument::StepCurrents;
use crate::waveform::Waveform;

use super::layout::content_top_px;
use super::{
    Axis, Callout, Dash, Figure, Ink, Item, Panel, Rect, Stroke, TextLook, Weight, curve, drawable,
    numbers, ticks,
};

const RIGHT_PX: f64 = 880.0;
const COLUMN_PX: f64 = 40.0;
/// Two dots for each pixel of the panel.
const COLUMNS: usize = 720;

/// One period of the current at a step, with the output shorted and, where it is known, with the
/// field connected; each with its crest factor. Both have the same true RMS.
#[must_use]
pub fn output_waveforms_figure(shorted: &StepCurrents, field: Option<&StepCurrents>) -> Figure {
    let step = shorted.step();
    let first = |currents: &StepCurrents| {
        currents
            .currents()
            .first()
            .map(|current| (current.origin.clone(), current.waveform.clone()))
    };
    let mut drawn: Vec<(&str, Ink, Dash, f64, String, Waveform)> = Vec::new();
    if let Some((origin, waveform)) = first(shorted) {
        drawn.push(("output shorted", Ink::Current, Dash::Solid, 3.5, origin, waveform));
    }
    if let Some((origin, waveform)) = field.and_then(first) {
        drawn.push(("field connected", Ink::Average, Dash::Dashed, 3.0, origin, waveform));
    }
    let caption = lesson(drawn.len());
    let top_px = content_top_px(&caption, &[]) + 38.0;
    let peak_a =
        drawn.iter().map(|(.., waveform)| waveform.measures().dc.peak_a).fold(0.0, f64::max);
    let end_a = ticks::round_outwards(1.05 * peak_a.max(step.nominal.a()), 10);
    let end_ms = drawn.iter().map(|(.., waveform)| 1e3 * waveform.period_s()).fold(0.0, f64::max);
    let (mut items, mut entries) = (Vec::new(), Vec::new());
    for (place, (name, ink, dash, width_px, _, waveform)) in drawn.iter().enumerate() {
        let points = curve::of_current(waveform, 1, COLUMNS);
        let extreme = points.iter().copied().reduce(|best, point| {
            let is_better = if place == 0 { point.1 > best.1 } else { point.1 < best.1 };
            if is_better { point } else { best }
        });
        if let Some((x, y)) = extreme {
            entries.push(Callout { x, y, lines: lines(name, waveform, *ink), ink: *ink });
        }
        let stroke = Stroke::solid(*ink, *width_px).with_dash(*dash);
        items.push(Item::Curve { points, stroke });
    }
    items.push(Item::Callouts { offset_px: COLUMN_PX, entries });
    let origins: Vec<String> =
        drawn.iter().map(|(name, .., origin, _)| format!("{name}: {}", drawable(origin))).collect();
    Figure {
        title: format!(
            "The current at step {}, {}, with both outputs",
            step.number,
            numbers::amperes(step.nominal.a())
        ),
        caption,
        key: Vec::new(),
        panels: vec![Panel {
            area: Rect::new(88.0, top_px, RIGHT_PX, 556.0),
            x: Axis::numbers("time", "ms", 0.0, end_ms, 9),
            y: Axis::numbers("current", "A", -end_a, end_a, 10),
            items,
        }],
        zooms: Vec::new(),
        footnote: format!("{}.", origins.join(". ")),
    }
}

fn lesson(drawn: usize) -> String {
    match drawn {
        2 => {
            "Same true RMS, another shape: a meter or a control that senses anything but the true \
              RMS takes the two for different currents."
                .to_owned()
        }
        _ => "The current with the field connected is not known from the description.".to_owned(),
    }
}

fn lines(name: &str, waveform: &Waveform, ink: Ink) -> Vec<(String, TextLook)> {
    let measures = waveform.measures();
    let crest = measures
        .dc
        .crest_factor()
        .map_or("no crest factor".to_owned(), |c| format!("crest factor {}", numbers::plain(c, 3)));
    let small = TextLook::new(17.0, Weight::Regular, ink);
    vec![
        (name.to_owned(), TextLook::new(18.0, Weight::Bold, ink)),
        (format!("true RMS {}", numbers::amperes(measures.dc.rms_a)), small),
        (crest, small),
    ]
}

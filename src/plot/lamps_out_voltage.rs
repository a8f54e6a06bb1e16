//! What lamps out do to the output voltage over a cycle.

use std::f64::consts::TAU;

use crate::error::Result;
use crate::regulator::Step;
use crate::series::FieldPoint;
use crate::spectrum::Spectrum;

use super::layout::content_top_px;
use super::{Axis, Callout, Dash, Figure, Ink, Item, Panel, Rect, Stroke, TextLook, Weight};
use super::{curve, numbers, ticks};

const RIGHT_PX: f64 = 880.0;
const COLUMN_PX: f64 = 44.0;
/// Two dots for each pixel of the panel.
const COLUMNS: usize = 720;
const DASHES: [Dash; 4] = [Dash::Solid, Dash::Dashed, Dash::Solid, Dash::Dotted];
const WIDTHS_PX: [f64; 4] = [4.0, 3.0, 2.0, 3.0];

/// One period of the voltage at the output terminals, a curve for each share of lamps out, with its
/// peak and RMS.
///
/// `origin` says where the regulator's values come from and ends without a full stop.
///
/// # Errors
/// `Inconsistent` without any point to draw.
pub fn lamps_out_voltage_figure(
    step: &Step,
    points: &[(f64, FieldPoint)],
    origin: &str,
) -> Result<Figure> {
    let drawn = &points[..points.len().min(DASHES.len())];
    let caption = lesson(drawn);
    let top_px = content_top_px(&caption, &[]) + 38.0;
    let peak_v = drawn.iter().map(|(_, point)| point.power.voltage_peak_v).fold(1.0, f64::max);
    let end_v = ticks::round_outwards(1.05 * peak_v, 10);
    let end_ms = drawn.iter().map(|(_, point)| period_ms(point)).fold(0.0, f64::max);
    let (mut items, mut entries) = (Vec::new(), Vec::new());
    for (rank, (open_ratio, point)) in drawn.iter().enumerate() {
        let ink = Ink::Rank(rank as u8);
        let course = course(point);
        let lowest = course.iter().copied().min_by(|a, b| a.1.total_cmp(&b.1));
        if let Some((x, y)) = lowest {
            entries.push(Callout { x, y, lines: lines(*open_ratio, point, ink), ink });
        }
        let stroke = Stroke::solid(ink, WIDTHS_PX[rank]).with_dash(DASHES[rank]);
        items.push(Item::Curve { points: course, stroke });
    }
    items.push(Item::Callouts { offset_px: COLUMN_PX, entries });
    if drawn.is_empty() {
        return Err(crate::error::Error::inconsistent(
            "the step is held at no share of lamps out: there is no voltage to draw",
        ));
    }
    Ok(Figure {
        title: format!(
            "Lamps out raise the peak of the output voltage: step {}, {}",
            step.number,
            numbers::amperes(step.nominal.a())
        ),
        caption,
        key: Vec::new(),
        panels: vec![Panel {
            area: Rect::new(118.0, top_px, RIGHT_PX, 570.0),
            x: Axis::numbers("time", "ms", 0.0, end_ms, 9),
            y: Axis::numbers("output voltage", "V", -end_v, end_v, 10),
            items,
        }],
        zooms: Vec::new(),
        footnote: format!(
            "Same true RMS current; time from where its fundamental rises through zero. Solved \
             circuit of {origin}."
        ),
    })
}

fn period_ms(point: &FieldPoint) -> f64 {
    1e3 * point.operating.output.period_s()
}

/// The first period of the voltage, from where the current's fundamental rises through zero.
fn course(point: &FieldPoint) -> Vec<(f64, f64)> {
    let current = &point.operating.output;
    let n = current.samples_per_period();
    let phase_rad = Spectrum::of(current).line(1).map_or(0.0, |line| line.phase_rad);
    let turn = ((-phase_rad / TAU).rem_euclid(1.0) * n as f64).round() as usize;
    let held = &point.output_v;
    let cell_ms = period_ms(point) / n as f64;
    curve::thinned(n, COLUMNS, |k| ((k as f64 + 0.5) * cell_ms, held[(k + turn) % held.len()]))
}

fn percent(ratio: f64) -> String {
    format!("{}\u{a0}%", numbers::plain(100.0 * ratio, 0))
}

fn lines(open_ratio: f64, point: &FieldPoint, ink: Ink) -> Vec<(String, TextLook)> {
    let plain = TextLook::new(17.0, Weight::Regular, ink);
    let bold = TextLook::new(18.0, Weight::Bold, ink);
    let name = match open_ratio {
        ratio if ratio > 0.0 => format!("{} of lamps out", percent(ratio)),
        _ => "every lamp lit".to_owned(),
    };
    let power = &point.power;
    let volts = |value_v: f64| format!("{}\u{a0}V", numbers::plain(value_v, 0));
    let size = format!("peak {}, RMS {}", volts(power.voltage_peak_v), volts(power.voltage_rms_v));
    vec![(name, bold), (size, plain)]
}

fn lesson(points: &[(f64, FieldPoint)]) -> String {
    let (Some((_, first)), Some((open_ratio, last))) = (points.first(), points.last()) else {
        return String::new();
    };
    let times = last.power.voltage_peak_v / first.power.voltage_peak_v;
    let crest = |point: &FieldPoint| {
        let crest = point.crest_factor();
        crest.map_or_else(|| "unknown".to_owned(), |crest| numbers::plain(crest, 2))
    };
    format!(
        "An open secondary saturates its core each half cycle: with {} of the lamps out the peak is \
         {} times that of the full field, and the current's crest factor goes from {} to {}.",
        percent(*open_ratio),
        numbers::plain(times, 2),
        crest(first),
        crest(last)
    )
}

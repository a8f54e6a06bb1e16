//! The power in a lamp over a cycle.

use crate::assess::StepCase;
use crate::meter::Detector;
use crate::series::FilamentLamp;
use crate::waveform::Coupling;

use super::super::layout::content_top_px;
use super::super::{
    Axis, Callout, Dash, Figure, Ink, Item, Panel, Rect, Stroke, TextLook, Weight, curve, numbers,
    ticks,
};

const COLUMNS: usize = 480;
const BOTTOM_PX: f64 = 562.0;

/// The current of a step beside the power it makes in a filament lamp, with the mean of that power and
/// the power a steady current of the mean of |i| would make.
#[must_use]
pub fn lamp_power_figure(case: &StepCase, lamp: &FilamentLamp) -> Figure {
    let wave = &case.waveform;
    let measures = wave.measures().dc;
    let resistance_ohm = lamp.resistance_ohm(measures.rms_a);
    let power_w = |current_a: f64| current_a * current_a * resistance_ohm;
    let current = curve::of_current(wave, 1, COLUMNS);
    let power: Vec<(f64, f64)> = current.iter().map(|(x, i_a)| (*x, power_w(*i_a))).collect();
    let (mean_w, peak_w) = (power_w(measures.rms_a), power_w(measures.peak_a));
    let by_average_w = power_w(measures.arv_a);
    let shown_a = Detector::AverageResponding(Coupling::Ac).read(&wave.measures()).shown_a();
    let watts = |value_w: f64| format!("{}\u{a0}W", numbers::plain(value_w, 1));
    let caption = format!(
        "The lamp's power runs from 0 to {} and back; its mean, {}, is that of a steady {}: the RMS. The \
         mean of |i|, {}, would make {}; an average-responding meter shows {}.",
        watts(peak_w),
        watts(mean_w),
        numbers::amperes(measures.rms_a),
        numbers::amperes(measures.arv_a),
        watts(by_average_w),
        numbers::amperes(shown_a),
    );
    let top_px = content_top_px(&caption, &[]) + 38.0;
    let end_ms = 1e3 * wave.period_s();
    let end_a = ticks::round_outwards(1.08 * measures.peak_a, 10);
    let end_w = ticks::round_outwards(1.12 * peak_w, 8);
    let level = |y: f64, ink: Ink, dash: Dash, text: String| Item::Level {
        y,
        stroke: Stroke::solid(ink, 2.5).with_dash(dash),
        label: Some((text, TextLook::new(18.0, Weight::Bold, ink))),
    };
    let plain_level = |y: f64, ink: Ink, dash: Dash| Item::Level {
        y,
        stroke: Stroke::solid(ink, 2.5).with_dash(dash),
        label: None,
    };
    let callout = |y: f64, ink: Ink, name: &str, value: String| Callout {
        x: end_ms,
        y,
        lines: vec![
            (name.to_owned(), TextLook::new(17.0, Weight::Regular, ink)),
            (value, TextLook::new(19.0, Weight::Bold, ink)),
        ],
        ink,
    };
    let line = |points, ink| Item::Curve { points, stroke: Stroke::solid(ink, 3.5) };
    Figure {
        title: format!(
            "Why RMS: step {}, {}, in a lamp of {}\u{a0}W",
            case.step.number,
            numbers::amperes(case.step.nominal.a()),
            numbers::plain(lamp.rated_power_w, 0)
        ),
        caption,
        key: Vec::new(),
        panels: vec![
            Panel {
                area: Rect::new(88.0, top_px, 520.0, BOTTOM_PX),
                x: Axis::numbers("time", "ms", 0.0, end_ms, 6).without_grid(),
                y: Axis::numbers("current i", "A", -end_a, end_a, 8),
                items: vec![
                    line(current, Ink::Current),
                    level(
                        measures.rms_a,
                        Ink::TrueRms,
                        Dash::Dashed,
                        format!("RMS {}", numbers::amperes(measures.rms_a)),
                    ),
                    level(
                        measures.arv_a,
                        Ink::Average,
                        Dash::Dotted,
                        format!("mean of |i| {}", numbers::amperes(measures.arv_a)),
                    ),
                ],
            },
            Panel {
                area: Rect::new(640.0, top_px, 1000.0, BOTTOM_PX),
                x: Axis::numbers("time", "ms", 0.0, end_ms, 5).without_grid(),
                y: Axis::numbers("power in the lamp", "W", 0.0, end_w, 8),
                items: vec![
                    line(power, Ink::Current),
                    plain_level(mean_w, Ink::TrueRms, Dash::Dashed),
                    plain_level(by_average_w, Ink::Average, Dash::Dotted),
                    Item::Callouts {
                        offset_px: 34.0,
                        entries: vec![
                            callout(mean_w, Ink::TrueRms, "mean power", watts(mean_w)),
                            callout(
                                by_average_w,
                                Ink::Average,
                                "by mean of |i|",
                                watts(by_average_w),
                            ),
                        ],
                    },
                ],
            },
        ],
        zooms: Vec::new(),
        footnote: format!(
            "Power = i² · {}\u{a0}Ω: the hot filament's resistance does not follow within a period. Current: {}.",
            numbers::plain(resistance_ohm, 2),
            case.origin
        ),
    }
}

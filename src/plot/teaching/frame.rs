//! One picture of a row of pictures that is leafed through.

use std::f64::consts::{SQRT_2, TAU};

use crate::assess::StepCase;
use crate::meter::Detector;
use crate::waveform::{Coupling, TrueRms};

use super::super::layout::content_top_px;
use super::super::{
    Anchor, Axis, Dash, Figure, Ink, Item, Panel, Rect, Stroke, TextLook, Weight, curve, numbers,
};

const COLUMNS: usize = 300;
const SINE_POINTS: usize = 90;

/// The current of a case over one period on an axis that stays the same for all pictures of a row, with
/// a sine of the same RMS, its crest factor and the error of an average-responding meter. `setting`
/// says what changes ("40 % load").
#[must_use]
pub fn frame_figure(case: &StepCase, setting: &str, end_a: f64, origin: &str) -> Figure {
    let wave = &case.waveform;
    let measures = wave.measures();
    let rms_a = measures.dc.rms_a;
    let shown = Detector::AverageResponding(Coupling::Ac).read(&measures);
    let error = shown.error_ratio(TrueRms::stated_a(rms_a)).unwrap_or(0.0);
    let crest = measures.dc.crest_factor().unwrap_or(0.0);
    let caption = format!(
        "{setting}: true RMS {}, crest factor {}, average-responding meter {} ({}).",
        numbers::amperes(rms_a),
        numbers::plain(crest, 2),
        numbers::amperes(shown.shown_a()),
        numbers::signed_percent(error)
    );
    let end_ms = 1e3 * wave.period_s();
    let sine = (0..=SINE_POINTS).map(|k| {
        let part = k as f64 / SINE_POINTS as f64;
        (part * end_ms, SQRT_2 * rms_a * (TAU * part).sin())
    });
    let label = |y_px: f64, text: String, look: TextLook| Item::Label {
        at: (end_ms, end_a),
        offset_px: (-8.0, y_px),
        anchor: Anchor::End,
        text,
        look,
        upright: false,
    };
    let top_px = content_top_px(&caption, &[]) + 38.0;
    Figure {
        title: format!(
            "Step {}, {}: {setting}",
            case.step.number,
            numbers::amperes(case.step.nominal.a())
        ),
        caption,
        key: Vec::new(),
        panels: vec![Panel {
            area: Rect::new(98.0, top_px, 1150.0, 566.0),
            x: Axis::numbers("time", "ms", 0.0, end_ms, 9).without_grid(),
            y: Axis::numbers("current", "A", -end_a, end_a, 8),
            items: vec![
                Item::Curve {
                    points: sine.collect(),
                    stroke: Stroke::solid(Ink::Muted, 2.0).with_dash(Dash::Dashed),
                },
                Item::Curve {
                    points: curve::of_current(wave, 1, COLUMNS),
                    stroke: Stroke::solid(Ink::Current, 4.0),
                },
                label(
                    20.0,
                    format!("average meter {}", numbers::signed_percent(error)),
                    TextLook::new(24.0, Weight::Bold, Ink::Average),
                ),
                label(
                    52.0,
                    format!("crest factor {}", numbers::plain(crest, 2)),
                    TextLook::new(22.0, Weight::Bold, Ink::TrueRms),
                ),
                label(
                    82.0,
                    "dashed: a sine of the same RMS".to_owned(),
                    TextLook::new(17.0, Weight::Regular, Ink::Muted),
                ),
            ],
        }],
        zooms: Vec::new(),
        footnote: format!("Solved circuit of {origin}."),
    }
}

//! Currents of one distortion that an average-responding meter takes for different ones.

use crate::meter::Detector;
use crate::spectrum::Spectrum;
use crate::waveform::{Coupling, TrueRms, Waveform};

use super::super::layout::content_top_px;
use super::super::{
    Anchor, Axis, Dash, Figure, Ink, Item, KeyEntry, Marker, Panel, Rect, Stroke, TextLook, Weight,
    curve, numbers, ticks,
};

const COLUMNS: usize = 320;
const BOTTOM_PX: f64 = 562.0;
/// Left and right ends of the panels.
const SPANS_PX: [(f64, f64); 3] = [(88.0, 390.0), (484.0, 786.0), (880.0, 1182.0)];

/// One of the currents, with the phases that make it.
#[derive(Clone, Debug)]
pub struct SameThdCase {
    /// The current.
    pub waveform: Waveform,
    /// Order and phase of each harmonic, in radians against its own sine.
    pub phases_rad: Vec<(usize, f64)>,
}

impl SameThdCase {
    /// Total harmonic distortion over every order the grid holds.
    #[must_use]
    pub fn thd_ratio(&self) -> Option<f64> {
        let spectrum = Spectrum::of(&self.waveform);
        spectrum.thd_ratio(spectrum.highest_order())
    }

    /// Error of an average-responding meter.
    #[must_use]
    pub fn average_error_ratio(&self) -> Option<f64> {
        let measures = self.waveform.measures();
        let truth = TrueRms::stated_a(measures.dc.rms_a);
        Detector::AverageResponding(Coupling::Ac).read(&measures).error_ratio(truth)
    }
}

/// Up to three currents of the same RMS and the same distortion side by side, with the error of an
/// average-responding meter on each.
#[must_use]
pub fn same_thd_figure(cases: &[SameThdCase]) -> Figure {
    let drawn = &cases[..cases.len().min(SPANS_PX.len())];
    let error = |case: &SameThdCase| case.average_error_ratio().unwrap_or(0.0);
    let thd = drawn.first().and_then(SameThdCase::thd_ratio).unwrap_or(0.0);
    let told: Vec<String> = drawn.iter().map(|case| numbers::signed_percent(error(case))).collect();
    let percent = |ratio: f64| format!("{}\u{a0}%", numbers::plain(100.0 * ratio, 1));
    let rms_a = drawn.first().map_or(0.0, |case| case.waveform.measures().dc.rms_a);
    let caption = format!(
        "All of them have {} of distortion and {} true RMS; an average-responding meter is off by {}. \
         The distortion alone tells neither size nor sign of the error.",
        percent(thd),
        numbers::amperes(rms_a),
        told.join(", ")
    );
    let key = vec![
        KeyEntry::shade(Ink::Current, "current"),
        KeyEntry::mark(Marker::Lying, Ink::TrueRms, "dashed: its true RMS"),
        KeyEntry::mark(Marker::Square, Ink::Average, "dotted: shown by an average meter"),
    ];
    let top_px = content_top_px(&caption, &key) + 38.0;
    let peak_a = drawn.iter().map(|case| case.waveform.measures().dc.peak_a).fold(1.0, f64::max);
    let end_a = ticks::round_outwards(1.25 * peak_a, 10);
    let panels = drawn.iter().zip(SPANS_PX).map(|(case, (left_px, right_px))| {
        panel(case, Rect::new(left_px, top_px, right_px, BOTTOM_PX), end_a)
    });
    Figure {
        title: "The same distortion, three errors".into(),
        caption,
        key,
        panels: panels.collect(),
        zooms: Vec::new(),
        footnote: footnote(drawn),
    }
}

fn panel(case: &SameThdCase, area: Rect, end_a: f64) -> Panel {
    let measures = case.waveform.measures();
    let error = case.average_error_ratio().unwrap_or(0.0);
    let shown_a = Detector::AverageResponding(Coupling::Ac).read(&measures).shown_a();
    let level = |y: f64, ink: Ink, dash: Dash| Item::Level {
        y,
        stroke: Stroke::solid(ink, 2.5).with_dash(dash),
        label: None,
    };
    let end_ms = 1e3 * case.waveform.period_s();
    let label = |y_px: f64, text: String, look: TextLook| Item::Label {
        at: (end_ms, end_a),
        offset_px: (-4.0, y_px),
        anchor: Anchor::End,
        text,
        look,
        upright: false,
    };
    let crest = measures
        .dc
        .crest_factor()
        .map_or(String::new(), |crest| format!("crest factor {}", numbers::plain(crest, 2)));
    Panel {
        area,
        x: Axis::numbers("time", "ms", 0.0, end_ms, 4).without_grid(),
        y: Axis::numbers("current", "A", -end_a, end_a, 8),
        items: vec![
            Item::Curve {
                points: curve::of_current(&case.waveform, 1, COLUMNS),
                stroke: Stroke::solid(Ink::Current, 3.5),
            },
            level(measures.dc.rms_a, Ink::TrueRms, Dash::Dashed),
            level(shown_a, Ink::Average, Dash::Dotted),
            label(
                16.0,
                format!("meter {}", numbers::signed_percent(error)),
                TextLook::new(20.0, Weight::Bold, Ink::Average),
            ),
            label(40.0, crest, TextLook::new(17.0, Weight::Regular, Ink::Text)),
        ],
    }
}

fn footnote(cases: &[SameThdCase]) -> String {
    let phases = |case: &SameThdCase| {
        let told: Vec<String> = case
            .phases_rad
            .iter()
            .map(|(order, rad)| {
                format!("{order}: {}°", numbers::plain(rad.to_degrees().rem_euclid(360.0), 0))
            })
            .collect();
        told.join(", ")
    };
    let all: Vec<String> = cases.iter().map(phases).collect();
    format!("Drawn currents. Phases of the harmonics, from left to right: {}.", all.join("; "))
}

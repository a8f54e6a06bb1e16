//! The same true RMS current from several kinds of source.

use std::f64::consts::TAU;

use crate::spectrum::Spectrum;
use crate::waveform::Waveform;

use super::layout::content_top_px;
use super::{
    Axis, Callout, Dash, Figure, Ink, Item, NamedPoint, Panel, Rect, Stroke, TextLook, Weight,
};
use super::{curve, numbers, ticks};

const RIGHT_PX: f64 = 846.0;
const COLUMN_PX: f64 = 44.0;
/// Two dots for each pixel of the panel.
const COLUMNS: usize = 720;
/// Curves beyond so many have no room for their labels.
const MOST: usize = 5;
const LOOKS: [(Ink, f64, Dash); 3] = [
    (Ink::Current, 4.0, Dash::Solid),
    (Ink::Control, 3.0, Dash::Solid),
    (Ink::Input, 2.5, Dash::Dashed),
];

/// One period of the output current of each source, with its crest factor and the error of an
/// average-responding meter. The first is the one the others are held against.
///
/// `setting` says what the points have in common ("step 3 at 50 % load"); `origin` says where the
/// sources come from and ends without a full stop.
#[must_use]
pub fn contrast_figure(points: &[NamedPoint<'_>], setting: &str, origin: &str) -> Figure {
    let drawn = &points[..points.len().min(MOST)];
    let caption = lesson(drawn);
    let top_px = content_top_px(&caption, &[]) + 38.0;
    let waves: Vec<Waveform> =
        drawn.iter().map(|named| from_rising_zero(&named.point.output)).collect();
    let peak_a = waves.iter().map(|wave| wave.measures().dc.peak_a).fold(0.0, f64::max);
    let end_a = ticks::round_outwards(1.05 * peak_a, 10);
    let end_ms = waves.iter().map(|wave| 1e3 * wave.period_s()).fold(0.0, f64::max);
    let mut items = Vec::new();
    if let Some(named) = drawn.first() {
        let rms_a = named.point.output_rms_a();
        items.push(Item::Level {
            y: rms_a,
            stroke: Stroke::solid(Ink::TrueRms, 2.0).with_dash(Dash::Dotted),
            label: Some((
                format!("true RMS {}", numbers::amperes(rms_a)),
                TextLook::new(18.0, Weight::Bold, Ink::TrueRms),
            )),
        });
    }
    let mut entries = Vec::new();
    for (rank, (named, wave)) in drawn.iter().zip(&waves).enumerate().rev() {
        let (ink, width_px, dash) = LOOKS[rank % LOOKS.len()];
        let points = curve::of_current(wave, 1, COLUMNS);
        let lowest = points.iter().copied().min_by(|a, b| a.1.total_cmp(&b.1));
        if let Some((x, y)) = lowest {
            entries.push(Callout { x, y, lines: lines(named, ink), ink });
        }
        items.push(Item::Curve { points, stroke: Stroke::solid(ink, width_px).with_dash(dash) });
    }
    items.push(Item::Callouts { offset_px: COLUMN_PX, entries });
    Figure {
        title: format!("One true RMS current, several sources: {setting}"),
        caption,
        key: Vec::new(),
        panels: vec![Panel {
            area: Rect::new(108.0, top_px, RIGHT_PX, 570.0),
            x: Axis::numbers("time", "ms", 0.0, end_ms, 9),
            y: Axis::numbers("output current", "A", -end_a, end_a, 10),
            items,
        }],
        zooms: Vec::new(),
        footnote: format!(
            "Time from where each fundamental rises through zero. Solved circuits of {origin}."
        ),
    }
}

fn lines(named: &NamedPoint<'_>, ink: Ink) -> Vec<(String, TextLook)> {
    let plain = TextLook::new(17.0, Weight::Regular, ink);
    let bold = TextLook::new(18.0, Weight::Bold, ink);
    let mut lines = vec![(named.name.to_owned(), bold)];
    if let Some(crest) = named.point.output.measures().dc.crest_factor() {
        lines.push((format!("crest factor {}", numbers::plain(crest, 2)), plain));
    }
    let error = numbers::signed_percent(named.point.average_responding_error_ratio());
    lines.push((format!("average meter {error}"), plain));
    lines
}

/// The period turned until its fundamental rises through zero at the beginning, to the sample.
fn from_rising_zero(wave: &Waveform) -> Waveform {
    let period = wave.averaged_period();
    let samples_a = period.samples_a();
    let phase_rad = Spectrum::of(&period).line(1).map_or(0.0, |line| line.phase_rad);
    let n = samples_a.len();
    let turn = (-phase_rad / TAU).rem_euclid(1.0) * n as f64;
    let mut turned_a = samples_a.to_vec();
    turned_a.rotate_left(turn.round() as usize % n);
    Waveform::new(turned_a, n, period.sample_interval_s())
        .expect("turning a period changes neither its length nor its samples")
}

fn lesson(points: &[NamedPoint<'_>]) -> String {
    let told: Vec<String> = points
        .iter()
        .map(|named| {
            let error = named.point.average_responding_error_ratio();
            format!("{} {}", named.name, numbers::signed_percent(error))
        })
        .collect();
    format!(
        "A lamp feels the same RMS from every one of them; an average-responding meter is off by: {}.",
        told.join(", ")
    )
}

//! The error of a true-RMS meter over its bandwidth.

use super::super::layout::content_top_px;
use super::super::{
    Axis, Callout, Dash, Face, Figure, Ink, Item, Marker, Panel, Rect, Stroke, TextLook, Weight,
    numbers,
};
use super::mark;

const MARKERS: [Marker; 4] = [Marker::Circle, Marker::Square, Marker::Triangle, Marker::Diamond];
const DASHES: [Dash; 4] = [Dash::Solid, Dash::Dashed, Dash::Solid, Dash::Dashed];
/// Errors beyond it are not drawn, in percent: they would press the others flat.
const FLOOR_PERCENT: f64 = -2.5;
const TICKS_HZ: [f64; 8] = [100.0, 200.0, 500.0, 1000.0, 2000.0, 5000.0, 10_000.0, 20_000.0];

/// One current: bandwidths and the error at each.
#[derive(Clone, Debug)]
pub struct BandwidthCurve {
    /// What flows.
    pub name: String,
    /// Bandwidth (−3 dB) in hertz, rising, and error of the reading over the true RMS.
    pub points: Vec<(f64, f64)>,
    /// The smallest bandwidth with which the error stays within the share asked for.
    pub enough_hz: Option<f64>,
}

/// The error of a true-RMS meter with one pole, calibrated on a sine, over its bandwidth.
///
/// `within_ratio` is the error that is thought small enough; `origin` says where the currents come from
/// and ends without a full stop.
#[must_use]
pub fn bandwidth_figure(curves: &[BandwidthCurve], within_ratio: f64, origin: &str) -> Figure {
    let drawn = &curves[..curves.len().min(MARKERS.len())];
    let told: Vec<String> =
        drawn.iter().map(|curve| format!("{} ({})", need(curve), curve.name)).collect();
    let within = format!("{}\u{a0}%", numbers::plain(100.0 * within_ratio, 1));
    let caption = format!(
        "To read within {within} low, a true-RMS meter needs a bandwidth of: {}. What it does not see, the \
         lamp still feels.",
        told.join(", ")
    );
    let top_px = content_top_px(&caption, &[]) + 38.0;
    let ends = |pick: fn(f64, f64) -> f64, from: f64| {
        drawn.iter().flat_map(|curve| &curve.points).map(|at| at.0).fold(from, pick)
    };
    let (low_hz, high_hz) = (ends(f64::min, f64::INFINITY), ends(f64::max, 0.0));
    let least = drawn.iter().flat_map(|curve| &curve.points).map(|at| 100.0 * at.1);
    let least = least.fold(0.0, f64::min).max(FLOOR_PERCENT);
    let is_cut = drawn.iter().flat_map(|curve| &curve.points).any(|at| 100.0 * at.1 < least);
    let cut = if is_cut {
        format!("Errors beyond {}\u{a0}% are not drawn. ", numbers::signed(least, 1))
    } else {
        String::new()
    };
    let mut items = vec![Item::Area {
        x: (low_hz, high_hz),
        y: (-100.0 * within_ratio, 100.0 * within_ratio),
        ink: Ink::Room,
        edge: Some(Stroke::solid(Ink::RoomEdge, 2.0)),
    }];
    let mut marks = Vec::new();
    let mut entries = Vec::new();
    for (rank, curve) in drawn.iter().enumerate() {
        let ink = Ink::Rank(rank as u8 + 1);
        let points: Vec<(f64, f64)> = curve.points.iter().map(|at| (at.0, 100.0 * at.1)).collect();
        let points: Vec<(f64, f64)> = points.into_iter().filter(|at| at.1 >= least).collect();
        // Lower labels for the curves that fall most, where they begin to be told apart.
        if let Some(last) = points.last() {
            let bold = TextLook::new(17.0, Weight::Bold, ink);
            let plain = TextLook::new(16.0, Weight::Regular, ink);
            let mut lines = vec![(curve.name.clone(), bold)];
            lines.push((format!("{within}: {}", need(curve)), plain));
            entries.push(Callout { x: last.0, y: last.1, lines, ink });
        }
        let every = points.len().div_ceil(7).max(1);
        let placed = points.iter().skip(rank * every / MARKERS.len()).step_by(every);
        marks.extend(placed.map(|at| mark(*at, MARKERS[rank], ink, Face::Full, 6.0)));
        let stroke = Stroke::solid(ink, 3.0).with_dash(DASHES[rank]);
        items.push(Item::Curve { points, stroke });
    }
    items.extend(marks);
    items.push(Item::Callouts { offset_px: 36.0, entries });
    let ticks_hz: Vec<f64> =
        TICKS_HZ.into_iter().filter(|hz| (low_hz..=high_hz).contains(hz)).collect();
    Figure {
        title: "How much bandwidth is enough".into(),
        caption,
        key: Vec::new(),
        panels: vec![Panel {
            area: Rect::new(108.0, top_px, 860.0, 562.0),
            x: Axis::ratios("bandwidth of the meter (−3 dB)", "Hz", low_hz, high_hz, &ticks_hz),
            y: Axis::numbers("error of a true-RMS meter", "%", 1.08 * least, -0.12 * least, 8),
            items,
        }],
        zooms: Vec::new(),
        footnote: format!(
            "{cut}One pole, calibrated on a sine of mains frequency. Currents: solved circuits of {origin}."
        ),
    }
}

/// The bandwidth a current needs, in words.
fn need(curve: &BandwidthCurve) -> String {
    let most_hz = curve.points.last().map_or(0.0, |at| at.0);
    curve.enough_hz.map_or_else(|| format!("more than {}", hertz(most_hz)), hertz)
}

/// A frequency to two digits, which is all that is meant.
fn hertz(frequency_hz: f64) -> String {
    let unit = 10.0_f64.powf(frequency_hz.log10().floor() - 1.0).max(1.0);
    format!("{}\u{a0}Hz", numbers::plain((frequency_hz / unit).round() * unit, 0))
}

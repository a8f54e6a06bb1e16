//! A measured period beside the fitted one, and what is left between them.

use crate::identify::FittedCapture;

use super::layout::content_top_px;
use super::{Axis, Callout, Figure, Ink, Item, KeyEntry, Panel, Rect, Stroke, TextLook, Weight};
use super::{curve, numbers, ticks};

const LEFT_PX: f64 = 108.0;
const RIGHT_PX: f64 = 900.0;
const COLUMN_PX: f64 = 34.0;
/// Two dots for each pixel of the panel.
const COLUMNS: usize = 720;
/// Noise stays within so many of its RMS for 95 % of the time.
const NOISE_REACH: f64 = 2.0;
const SHARE_OF_CURRENT: f64 = 0.62;
const BETWEEN_PX: f64 = 62.0;

/// One period as measured and as the fitted regulator gives it, and below the difference with the
/// room that noise alone would take.
///
/// `held_out` says that the capture was not used for the fit; `origin` says where the regulator comes
/// from and ends without a full stop.
#[must_use]
pub fn fit_figure(capture: &FittedCapture, held_out: bool, origin: &str) -> Figure {
    let caption = lesson(capture, held_out);
    let key = key(capture);
    let top_px = content_top_px(&caption, &key) + 38.0;
    let bottom_px = 570.0;
    let room_px = bottom_px - top_px - BETWEEN_PX;
    let middle_px = top_px + SHARE_OF_CURRENT * room_px;
    let what = if held_out { "predicted" } else { "fitted" };
    Figure {
        title: format!(
            "{}: measured and {what} current at {}",
            super::drawable(&capture.name),
            numbers::amperes(capture.held_rms_a)
        ),
        caption,
        key,
        panels: vec![
            current_panel(capture, Rect::new(LEFT_PX, top_px, RIGHT_PX, middle_px), what),
            residual_panel(
                capture,
                Rect::new(LEFT_PX, middle_px + BETWEEN_PX, RIGHT_PX, bottom_px),
            ),
        ],
        zooms: Vec::new(),
        footnote: format!(
            "From the {what} fundamental's rising zero; orders 1 to {}. Solved circuit of {origin}.",
            capture.orders
        ),
    }
}

fn lesson(capture: &FittedCapture, held_out: bool) -> String {
    let share = capture.residual_rms_a / capture.held_rms_a;
    let start = if held_out {
        "A capture that was not used for the fit: measured and predicted"
    } else {
        "Measured and fitted"
    };
    let noise = match capture.noise_rms_a {
        Some(noise_a) => {
            format!("noise alone would leave {}", plain_percent(noise_a / capture.held_rms_a))
        }
        None => "the noise of this capture is not known".to_owned(),
    };
    format!("{start} differ by {} of the RMS; {noise}.", plain_percent(share))
}

fn key(capture: &FittedCapture) -> Vec<KeyEntry> {
    capture
        .noise_rms_a
        .map(|_| KeyEntry::shade(Ink::Room, "where noise alone stays 95 % of the time"))
        .into_iter()
        .collect()
}

fn current_panel(capture: &FittedCapture, area: Rect, what: &str) -> Panel {
    let measured = curve::of_current(&capture.measured, 1, COLUMNS);
    let fitted = curve::of_current(&capture.fitted, 1, COLUMNS);
    let peak_a = capture.measured.measures().dc.peak_a.max(capture.fitted.measures().dc.peak_a);
    let end_a = ticks::round_outwards(1.05 * peak_a, 8);
    let end_ms = 1e3 * capture.measured.period_s();
    let crest = |waveform: &crate::waveform::Waveform| {
        let crest = waveform.measures().dc.crest_factor();
        crest.map_or("no crest factor".to_owned(), |c| format!("crest {}", numbers::plain(c, 3)))
    };
    let lines = |name: &str, says: String, ink| {
        vec![
            (name.to_owned(), TextLook::new(18.0, Weight::Bold, ink)),
            (says, TextLook::new(17.0, Weight::Regular, ink)),
        ]
    };
    let lowest = |points: &[(f64, f64)]| {
        points.iter().copied().min_by(|a, b| a.1.total_cmp(&b.1)).unwrap_or_default()
    };
    let (x, y) = lowest(&measured);
    let mut delay = lines(what, crest(&capture.fitted), Ink::Current);
    let delay_deg = numbers::plain(capture.delay_rad.to_degrees(), 1);
    delay.push((
        format!("fired at {delay_deg}°"),
        TextLook::new(17.0, Weight::Regular, Ink::Current),
    ));
    let entries = vec![
        Callout {
            x,
            y,
            // The curve's own colour is too light to be read.
            lines: lines("measured", crest(&capture.measured), Ink::Input),
            ink: Ink::Lighter,
        },
        Callout {
            x: end_ms,
            y: fitted.last().map_or(0.0, |at| at.1),
            lines: delay,
            ink: Ink::Current,
        },
    ];
    Panel {
        area,
        x: Axis::numbers("", "", 0.0, end_ms, 9),
        y: Axis::numbers("output current", "A", -end_a, end_a, 8),
        items: vec![
            Item::Curve { points: measured, stroke: Stroke::solid(Ink::Lighter, 9.0) },
            Item::Curve { points: fitted, stroke: Stroke::solid(Ink::Current, 2.5) },
            Item::Callouts { offset_px: COLUMN_PX, entries },
        ],
    }
}

fn residual_panel(capture: &FittedCapture, area: Rect) -> Panel {
    let pairs = capture.measured.samples_a().iter().zip(capture.fitted.samples_a());
    let off_ma: Vec<f64> = pairs.map(|(measured, fitted)| 1e3 * (measured - fitted)).collect();
    let noise_ma = capture.noise_rms_a.map(|noise_a| 1e3 * NOISE_REACH * noise_a);
    let most_ma = off_ma.iter().fold(noise_ma.unwrap_or(0.0), |most, off| most.max(off.abs()));
    let end_ma = ticks::round_outwards(1.1 * most_ma.max(f64::MIN_POSITIVE), 4);
    let end_ms = 1e3 * capture.measured.period_s();
    let mut items = Vec::new();
    if let Some(noise_ma) = noise_ma {
        items.push(Item::Area {
            x: (0.0, end_ms),
            y: (-noise_ma, noise_ma),
            ink: Ink::Room,
            edge: None,
        });
    }
    let point = |(k, off): (usize, &f64)| (1e3 * capture.measured.time_s(k), *off);
    items.push(Item::Curve {
        points: off_ma.iter().enumerate().map(point).collect(),
        stroke: Stroke::solid(Ink::Text, 2.0),
    });
    Panel {
        area,
        x: Axis::numbers("time", "ms", 0.0, end_ms, 9),
        y: Axis::numbers("measured minus model", "mA", -end_ma, end_ma, 4),
        items,
    }
}

/// A share in percent with two significant digits at least.
fn plain_percent(ratio: f64) -> String {
    let decimals = if ratio < 0.01 { 3 } else { 2 };
    format!("{}\u{a0}%", numbers::plain(100.0 * ratio, decimals))
}

use crate::capture::RecordSummary;

use super::super::layout::content_top_px;
use super::super::{Axis, Dash, Figure, Ink, Item, Panel, Rect, Stroke, TextLook, Weight};
use super::super::{numbers, ticks};

/// The averaged period of the stretch that stands for a record, and below it how far single periods
/// spread at each place.
///
/// `name` says which record it is.
#[must_use]
pub fn averaged_period_figure(summary: &RecordSummary, name: &str) -> Figure {
    let part = summary.representative();
    let mean_a = part.averaged.mean_a();
    let spread_a = part.averaged.spread_a();
    let end_ms = 1e3 / part.frequency_hz();
    let most_spread_a = spread_a.iter().flatten().copied().fold(0.0, f64::max);
    let crest = part.mean_peak_a() / part.rms_a().max(f64::MIN_POSITIVE);
    let caption = format!(
        "{} periods from {}\u{a0}s to {}\u{a0}s: true RMS {}\u{a0}A, crest factor {}; single periods \
         spread by up to {}\u{a0}mA (standard deviation).",
        part.periods(),
        numbers::plain(part.start_s, 3),
        numbers::plain(part.end_s, 3),
        numbers::plain(part.rms_a(), 3),
        numbers::plain(crest, 3),
        numbers::plain(1e3 * most_spread_a, 1)
    );
    let points = |values: &[f64], by: f64| -> Vec<(f64, f64)> {
        let count = values.len() as f64;
        let place = |k: usize| (k as f64 + 0.5) / count * end_ms;
        values.iter().enumerate().map(|(k, value)| (place(k), by * value)).collect()
    };
    let reach_a = mean_a.iter().fold(f64::MIN_POSITIVE, |most: f64, a| most.max(a.abs()));
    let end_a = ticks::round_outwards(1.12 * reach_a, 10);
    let mut above =
        vec![Item::Curve { points: points(mean_a, 1.0), stroke: Stroke::solid(Ink::Current, 3.5) }];
    if let Some(spread_a) = &spread_a {
        for sign in [1.0, -1.0] {
            let edge: Vec<f64> =
                mean_a.iter().zip(spread_a).map(|(mean, s)| mean + 2.0 * sign * s).collect();
            above.push(Item::Curve {
                points: points(&edge, 1.0),
                stroke: Stroke::solid(Ink::Average, 1.5).with_dash(Dash::Dotted),
            });
        }
    }
    above.push(Item::Level {
        y: part.rms_a(),
        stroke: Stroke::solid(Ink::TrueRms, 2.0).with_dash(Dash::Dashed),
        label: Some((
            format!("true RMS {}", numbers::amperes(part.rms_a())),
            TextLook::new(17.0, Weight::Bold, Ink::TrueRms),
        )),
    });
    let top_px = content_top_px(&caption, &[]) + 38.0;
    let (split_px, bottom_px) = (430.0, 575.0);
    let mut panels = vec![Panel {
        area: Rect::new(108.0, top_px, 1170.0, split_px - 40.0),
        x: Axis::bare(0.0, end_ms),
        y: Axis::numbers("current", "A", -end_a, end_a, 8),
        items: above,
    }];
    if let Some(spread_a) = &spread_a {
        let top_ma = ticks::round_outwards((1.15e3 * most_spread_a).max(1e-3), 4);
        panels.push(Panel {
            area: Rect::new(108.0, split_px + 10.0, 1170.0, bottom_px),
            x: Axis::numbers("time", "ms", 0.0, end_ms, 10).without_grid(),
            y: Axis::numbers("spread", "mA", 0.0, top_ma, 4),
            items: vec![Item::Curve {
                points: points(spread_a, 1e3),
                stroke: Stroke::solid(Ink::Average, 2.5),
            }],
        });
    }
    Figure {
        title: format!("One averaged period: {name}"),
        caption,
        key: Vec::new(),
        panels,
        zooms: Vec::new(),
        footnote: "Dotted: two standard deviations of single periods above and below the mean."
            .to_owned(),
    }
}

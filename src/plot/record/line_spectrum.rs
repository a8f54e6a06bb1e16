use crate::capture::{HarmonicGroups, RecordSummary};

use super::super::layout::content_top_px;
use super::super::numbers;
use super::super::{Axis, Figure, Ink, Item, KeyEntry, Panel, Rect};

/// Lines below this are not drawn.
const FLOOR_DB: f64 = -100.0;
const DB_STEP: i32 = 20;

/// Every line of one window of 10 or 12 cycles, harmonics and what stands between them, in decibels
/// against the fundamental; `None` when the record holds no window.
///
/// `name` says which record it is.
#[must_use]
pub fn line_spectrum_figure(summary: &RecordSummary, name: &str) -> Option<Figure> {
    let groups = summary.groups.as_ref()?;
    let cycles = groups.cycles();
    let first_a = groups.line_rms_a(cycles).filter(|rms_a| *rms_a > 0.0)?;
    let key = vec![
        KeyEntry::shade(Ink::Current, "harmonics"),
        KeyEntry::shade(Ink::Average, "between harmonics"),
    ];
    let caption = caption(groups);
    let orders = groups.highest_order() as f64 + 0.6;
    let mut items = Vec::new();
    for harmonic in [false, true] {
        for k in 1.. {
            let Some(rms_a) = groups.line_rms_a(k) else { break };
            let db = 20.0 * (rms_a / first_a).log10();
            if k.is_multiple_of(cycles) != harmonic || db <= FLOOR_DB {
                continue;
            }
            let at = k as f64 / cycles as f64;
            let (ink, half) = if harmonic { (Ink::Current, 0.06) } else { (Ink::Average, 0.03) };
            items.push(Item::Area {
                x: (at - half, at + half),
                y: (FLOOR_DB, db),
                ink,
                edge: None,
            });
        }
    }
    let hz = numbers::plain(summary.representative().frequency_hz(), 2);
    let label = "frequency";
    let mut x = Axis::numbers(label, &format!("multiples of {hz}\u{a0}Hz"), 0.0, orders, 20);
    x.grid = false;
    let mut y = Axis::numbers("line against the fundamental", "dB", FLOOR_DB, 8.0, 6);
    y.ticks.retain(|tick| (tick.at.round() as i32) % DB_STEP == 0);
    let area = Rect::new(108.0, content_top_px(&caption, &key) + 38.0, 1170.0, 570.0);
    Some(Figure {
        title: format!("Spectrum: {name}"),
        caption,
        key,
        panels: vec![Panel { area, x, y, items }],
        zooms: Vec::new(),
        footnote: format!(
            "One window of {cycles} cycles without smoothing; −60\u{a0}dB is a thousandth of the fundamental."
        ),
    })
}

fn caption(groups: &HarmonicGroups) -> String {
    let thd = groups.subgroup_thd_ratio().map_or("undefined".to_owned(), |ratio| {
        format!("{}\u{a0}%", numbers::plain(100.0 * ratio, 2))
    });
    let between = (0..groups.highest_order())
        .filter_map(|order| Some((order, groups.interharmonic_subgroup_rms_a(order)?)))
        .max_by(|a, b| a.1.total_cmp(&b.1));
    let first_a = groups.subgroup_rms_a(1).unwrap_or(f64::MIN_POSITIVE);
    let largest = between.map_or(String::new(), |(order, rms_a)| {
        format!(
            "; the most between two harmonics is {}\u{a0}% above order {order}",
            numbers::plain(100.0 * rms_a / first_a, 2)
        )
    });
    format!("Distortion by subgroups {thd} (orders 2 to {}){largest}.", groups.highest_order())
}

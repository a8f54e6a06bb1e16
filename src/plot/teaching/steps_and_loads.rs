//! Small multiples: the current of every step at several loads.

use std::f64::consts::{SQRT_2, TAU};

use crate::assess::StepCase;
use crate::meter::Detector;
use crate::waveform::{Coupling, TrueRms};

use super::super::layout::content_top_px;
use super::super::{
    Anchor, Axis, Dash, Figure, Ink, Item, KeyEntry, Marker, Panel, Rect, Stroke, TextLook, Weight,
    curve, numbers, ticks,
};

const COLUMNS: usize = 160;
const LEFT_PX: f64 = 108.0;
const RIGHT_PX: f64 = 1146.0;
const BOTTOM_PX: f64 = 566.0;
const GAP_X_PX: f64 = 16.0;
const GAP_Y_PX: f64 = 14.0;
/// Beyond the peak of every current, with room for a number.
const END: f64 = 2.0;
/// How many times the difference from the sine is drawn.
const ENLARGED: f64 = 5.0;
/// Points of the sine drawn behind.
const SINE_POINTS: usize = 60;

/// One cell: a step at a load.
pub type GridCell = StepCase;

/// One row: a load in words with a cell for each step.
#[derive(Clone, Debug)]
pub struct GridRow {
    /// The load in words.
    pub load: String,
    /// The steps.
    pub cells: Vec<GridCell>,
}

/// The current of every step at several loads, each over its own true RMS with a sine of the same RMS
/// behind it, its crest factor and the error of an average-responding meter. `origin` says where the
/// regulator's values come from and ends without a full stop.
#[must_use]
pub fn steps_and_loads_figure(rows: &[GridRow], origin: &str) -> Figure {
    let caption = lesson(rows);
    let key = vec![
        KeyEntry::mark(Marker::Lying, Ink::Current, "current over its true RMS"),
        KeyEntry::mark(Marker::Lying, Ink::Muted, "dashed: a sine"),
        KeyEntry::mark(
            Marker::Lying,
            Ink::Peak,
            format!("difference, {} times", numbers::plain(ENLARGED, 0)),
        ),
        KeyEntry::mark(Marker::Circle, Ink::TrueRms, "crest factor"),
        KeyEntry::mark(Marker::Square, Ink::Average, "average meter's error"),
    ];
    let top_px = content_top_px(&caption, &key) + 36.0;
    let across = rows.iter().map(|row| row.cells.len()).max().unwrap_or(1).max(1);
    let wide_px = (RIGHT_PX - LEFT_PX + GAP_X_PX) / across as f64;
    let high_px = (BOTTOM_PX - top_px + GAP_Y_PX) / rows.len().max(1) as f64;
    let mut panels = Vec::new();
    for (down, row) in rows.iter().enumerate() {
        for (right, cell) in row.cells.iter().enumerate() {
            let left_px = wide_px.mul_add(right as f64, LEFT_PX);
            let upper_px = high_px.mul_add(down as f64, top_px);
            let area = Rect::new(
                left_px,
                upper_px,
                left_px + wide_px - GAP_X_PX,
                upper_px + high_px - GAP_Y_PX,
            );
            let mut panel = panel(cell, area);
            panel.y = match (right, down) {
                (0, 0) => panel.y,
                (0, _) => panel.y.untitled(),
                _ => panel.y.shared(),
            };
            if down + 1 < rows.len() {
                panel.x = panel.x.shared();
            }
            if down == 0 {
                panel.items.push(step_name(cell));
            }
            if right + 1 == row.cells.len() {
                panel.items.push(load_name(&row.load, panel.x.to));
            }
            panels.push(panel);
        }
    }
    Figure {
        title: "The current at every step and load".into(),
        caption,
        key,
        panels,
        zooms: Vec::new(),
        footnote: format!(
            "Resistive load, true RMS held at each step's nominal. Solved circuit of {origin}."
        ),
    }
}

fn error_ratio(cell: &GridCell) -> f64 {
    let measures = cell.waveform.measures();
    let truth = TrueRms::stated_a(measures.dc.rms_a);
    let shown = Detector::AverageResponding(Coupling::Ac).read(&measures);
    shown.error_ratio(truth).unwrap_or(0.0)
}

fn crest(cell: &GridCell) -> f64 {
    cell.waveform.measures().dc.crest_factor().unwrap_or(0.0)
}

fn panel(cell: &GridCell, area: Rect) -> Panel {
    let rms_a = cell.waveform.measures().dc.rms_a;
    let end_ms = 1e3 * cell.waveform.period_s();
    let over_rms = curve::of_current(&cell.waveform, 1, COLUMNS);
    let over_rms: Vec<(f64, f64)> = over_rms.into_iter().map(|(x, i_a)| (x, i_a / rms_a)).collect();
    let beyond_sine = over_rms
        .iter()
        .map(|(x, y)| (*x, ENLARGED * (y - SQRT_2 * (TAU * x / end_ms).sin())))
        .collect();
    let sine = (0..=SINE_POINTS).map(|k| {
        let part = k as f64 / SINE_POINTS as f64;
        (part * end_ms, SQRT_2 * (TAU * part).sin())
    });
    let mut x = Axis::numbers("time", "ms", 0.0, end_ms, 3).without_grid();
    x.ticks = ticks::at([0.0, 5.0, 10.0, 15.0].into_iter().filter(|at| *at < end_ms), 0);
    let mut y = Axis::numbers("current", "RMS", -END, END, 2).without_grid();
    y.ticks = ticks::at([-1.0, 0.0, 1.0], 0);
    let corner = |at: (f64, f64), offset_px, anchor, text, ink| Item::Label {
        at,
        offset_px,
        anchor,
        text,
        look: TextLook::new(17.0, Weight::Bold, ink),
        upright: false,
    };
    let (low, high) = ((0.0, -END), (end_ms, END));
    Panel {
        area,
        x,
        y,
        items: vec![
            Item::Curve {
                points: sine.collect(),
                stroke: Stroke::solid(Ink::Muted, 1.5).with_dash(Dash::Dashed),
            },
            Item::Curve { points: beyond_sine, stroke: Stroke::solid(Ink::Peak, 1.5) },
            Item::Curve { points: over_rms, stroke: Stroke::solid(Ink::Current, 3.0) },
            corner(high, (-4.0, 13.0), Anchor::End, numbers::plain(crest(cell), 2), Ink::TrueRms),
            corner(
                low,
                (7.0, -13.0),
                Anchor::Start,
                numbers::signed_percent(error_ratio(cell)),
                Ink::Average,
            ),
        ],
    }
}

fn step_name(cell: &GridCell) -> Item {
    let (number, nominal_a) = (cell.step.number, cell.step.nominal.a());
    Item::Label {
        at: (1e3 * cell.waveform.period_s(), END),
        offset_px: (0.0, -15.0),
        anchor: Anchor::End,
        text: format!("step {number}, {}", numbers::amperes(nominal_a)),
        look: TextLook::new(16.0, Weight::Bold, Ink::Text),
        upright: false,
    }
}

fn load_name(load: &str, end_ms: f64) -> Item {
    Item::Label {
        at: (end_ms, 0.0),
        offset_px: (20.0, 0.0),
        anchor: Anchor::Middle,
        text: load.to_owned(),
        look: TextLook::new(16.0, Weight::Bold, Ink::Text),
        upright: true,
    }
}

fn lesson(rows: &[GridRow]) -> String {
    let cells =
        || rows.iter().flat_map(|row| row.cells.iter().map(move |cell| (row.load.as_str(), cell)));
    let by_error = |a: &(&str, &GridCell), b: &(&str, &GridCell)| {
        error_ratio(a.1).total_cmp(&error_ratio(b.1))
    };
    let crests = || cells().map(|(_, cell)| crest(cell));
    let Some((low, high)) = cells().min_by(by_error).zip(cells().max_by(by_error)) else {
        return "No step is held on any of these loads.".into();
    };
    let told = |(load, cell): (&str, &GridCell)| {
        format!(
            "{} on step {} ({load})",
            numbers::signed_percent(error_ratio(cell)),
            cell.step.number
        )
    };
    format!(
        "One regulator, {} shapes: crest factors {} to {}, and an average-responding meter off by {} and by {}.",
        cells().count(),
        numbers::plain(crests().fold(f64::INFINITY, f64::min), 2),
        numbers::plain(crests().fold(0.0, f64::max), 2),
        told(low),
        told(high)
    )
}

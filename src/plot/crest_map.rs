//! The crest factor over brightness step and share of lamps out.

use crate::series::{LampsOutPoint, LampsOutSweep};

use super::layout::content_top_px;
use super::{Anchor, Axis, Figure, Ink, Item, Panel, Rect, Stroke, TextLook, Weight};
use super::{numbers, ticks};

const BOTTOM_PX: f64 = 560.0;
/// Degrees of the shade.
const DEGREES: u8 = 8;
/// Shades from this one on are too dark for dark numbers.
const DARK: u8 = 5;
/// Cells narrower than this carry no number.
const NUMBER_PX: f64 = 46.0;
/// Cells lower than this carry no number either.
const NUMBER_HIGH_PX: f64 = 20.0;

/// Which crest factor has which shade.
struct Scale {
    from: f64,
    width: f64,
}

impl Scale {
    /// Round edges around everything that is shown.
    fn of(sweeps: &[LampsOutSweep]) -> Self {
        let crests = || sweeps.iter().flat_map(|sweep| &sweep.points).filter_map(crest);
        let (low, high) = (crests().fold(f64::INFINITY, f64::min), crests().fold(0.0, f64::max));
        if !low.is_finite() {
            return Self { from: 1.0, width: 0.1 };
        }
        // Edges at multiples of 0.01: the narrowest that hold everything.
        let from = (100.0 * low + 1e-9).floor() / 100.0;
        let width = (100.0 * (high - from) / f64::from(DEGREES) + 1e-9).ceil().max(1.0) / 100.0;
        Self { from, width }
    }

    fn degree(&self, crest: f64) -> u8 {
        (((crest - self.from) / self.width) as u8).min(DEGREES - 1)
    }

    fn edge(&self, degree: u8) -> f64 {
        self.from + f64::from(degree) * self.width
    }
}

fn crest(point: &LampsOutPoint) -> Option<f64> {
    point.shape.as_ref().map(|shape| shape.crest_factor)
}

/// One cell for each step and share of lamps out, its crest factor as number and as shade.
///
/// `origin` says where the regulator's values come from and ends without a full stop.
#[must_use]
pub fn crest_map_figure(sweeps: &[LampsOutSweep], origin: &str) -> Figure {
    let scale = Scale::of(sweeps);
    let caption = lesson(sweeps);
    let top_px = content_top_px(&caption, &[]) + 38.0;
    let area = Rect::new(150.0, top_px, 920.0, BOTTOM_PX);
    let shares: Vec<f64> = sweeps
        .first()
        .map_or_else(Vec::new, |sweep| sweep.points.iter().map(|point| point.open_ratio).collect());
    let cell_px = area.width_px() / shares.len().max(1) as f64;
    let high_px = area.height_px() / sweeps.len().max(1) as f64;
    let numbered = cell_px >= NUMBER_PX && high_px >= NUMBER_HIGH_PX;
    let mut items = Vec::new();
    for (row, sweep) in sweeps.iter().rev().enumerate() {
        for (column, point) in sweep.points.iter().enumerate() {
            items.extend(cell(row as f64, column as f64, point, &scale, numbered));
        }
    }
    let percent =
        |ratio: &f64| numbers::plain(100.0 * ratio, if shares.len() > 12 { 1 } else { 0 });
    let names = sweeps.iter().rev().map(|sweep| {
        format!("step {} ({})", sweep.step.number, numbers::plain(sweep.step.nominal.a(), 1))
    });
    let map = Panel {
        area,
        x: Axis::names("lamps out", "%", shares.iter().map(percent).collect()),
        y: Axis::names("brightness step and its nominal", "A", names.collect()),
        items,
    };
    Figure {
        title: "Crest factor of the output current".into(),
        caption,
        key: Vec::new(),
        panels: vec![map, legend(&scale, top_px)],
        zooms: Vec::new(),
        footnote: format!("Every step held at its nominal true RMS. Solved circuits of {origin}."),
    }
}

fn cell(row: f64, column: f64, point: &LampsOutPoint, scale: &Scale, numbered: bool) -> Vec<Item> {
    let (ink, text, written) = match crest(point) {
        Some(crest) => {
            let degree = scale.degree(crest);
            let written = if degree >= DARK { Ink::Background } else { Ink::Text };
            (Ink::Shade(degree), numbers::plain(crest, 2), written)
        }
        None => (Ink::Background, "×".to_owned(), Ink::Muted),
    };
    let area = Item::Area {
        x: (column - 0.5, column + 0.5),
        y: (row - 0.5, row + 0.5),
        ink,
        edge: Some(Stroke::solid(Ink::Background, 1.0)),
    };
    let label = Item::Label {
        at: (column, row),
        offset_px: (0.0, 0.0),
        anchor: Anchor::Middle,
        text,
        look: TextLook::new(17.0, Weight::Regular, written),
        upright: false,
    };
    if numbered { vec![area, label] } else { vec![area] }
}

/// The shades with the crest factors at their edges.
fn legend(scale: &Scale, top_px: f64) -> Panel {
    let (from, to) = (scale.edge(0), scale.edge(DEGREES));
    let areas = (0..DEGREES).map(|degree| Item::Area {
        x: (0.0, 1.0),
        y: (scale.edge(degree), scale.edge(degree + 1)),
        ink: Ink::Shade(degree),
        edge: None,
    });
    let mut y = Axis::numbers("peak", "RMS values", from, to, usize::from(DEGREES)).without_grid();
    y.ticks = ticks::at((0..=DEGREES).map(|degree| scale.edge(degree)), 2);
    Panel {
        area: Rect::new(1055.0, top_px, 1105.0, BOTTOM_PX),
        x: Axis::bare(0.0, 1.0),
        y,
        items: areas.collect(),
    }
}

fn lesson(sweeps: &[LampsOutSweep]) -> String {
    let mut largest: Option<(f64, u32, f64)> = None;
    for sweep in sweeps {
        for point in &sweep.points {
            if let Some(crest) = crest(point)
                && largest.is_none_or(|(known, _, _)| crest > known)
            {
                largest = Some((crest, sweep.step.number, point.open_ratio));
            }
        }
    }
    let Some((crest, step, open_ratio)) = largest else {
        return "No step is held at any of these shares of lamps out.".to_owned();
    };
    let limits: Vec<String> = sweeps
        .iter()
        .filter_map(|sweep| {
            let percent = numbers::plain(100.0 * sweep.limit_ratio?, 0);
            Some(format!("step {} from {percent}\u{a0}%", sweep.step.number))
        })
        .collect();
    let lost = if limits.is_empty() {
        "every step is held throughout".to_owned()
    } else {
        format!("not held (×): {}", limits.join(", "))
    };
    format!(
        "The largest is {}, on step {step} with {}\u{a0}% of the lamps out; a sine has 1.41; {lost}.",
        numbers::plain(crest, 2),
        numbers::plain(100.0 * open_ratio, 0)
    )
}

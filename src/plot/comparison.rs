//! Many meters at many steps: a map of verdicts.

use crate::assess::instrument::{Comparison, ComparisonCell, Suitability};

use super::layout::content_top_px;
use super::{
    Anchor, Axis, Figure, Ink, Item, KeyEntry, Panel, Rect, Stroke, TextLook, Weight, numbers,
};

/// Columns and rows beyond these have no room for their words.
const MOST_COLUMNS: usize = 24;
const MOST_ROWS: usize = 16;
/// Width of a character of a circuit's name, about.
const CHARACTER_PX: f64 = 10.5;

/// Verdicts of many meters (rows) at the steps of many circuits (columns).
///
/// A cell says its verdict by colour and by word, with the share of the band that is left to set in.
#[must_use]
pub fn comparison_figure(comparison: &Comparison) -> Figure {
    let columns: Vec<(usize, (u32, _))> = (0..comparison.circuits().len())
        .flat_map(|circuit| {
            comparison.places(circuit).into_iter().map(move |place| (circuit, place))
        })
        .collect();
    let meters = comparison.meters();
    let (rows, shown) = (meters.len().min(MOST_ROWS), columns.len().min(MOST_COLUMNS));
    let key = vec![
        KeyEntry::shade(Ink::Room, "fit"),
        KeyEntry::shade(Ink::Lighter, "care: fit with care"),
        KeyEntry::shade(Ink::Aside, "no: not fit"),
    ];
    let caption = lesson(comparison);
    let top_px = content_top_px(&caption, &key) + 34.0;
    let area = Rect::new(356.0, top_px, 1174.0, 548.0);
    let cell_px = (area.width_px() / shown.max(1) as f64, area.height_px() / rows.max(1) as f64);
    let size_px = (0.30 * cell_px.0).min(0.42 * cell_px.1).clamp(9.0, 17.0);
    let mut items = Vec::new();
    for (row, name) in meters.iter().take(rows).enumerate() {
        let y = (rows - 1 - row) as f64;
        items.push(Item::Label {
            at: (-0.5, y),
            offset_px: (-12.0, 0.0),
            anchor: Anchor::End,
            text: super::drawable(name),
            look: TextLook::new(16.0, Weight::Regular, Ink::Text),
            upright: false,
        });
        for (column, (circuit, place)) in columns.iter().take(shown).enumerate() {
            if let Some(cell) = comparison.cell(row, *circuit, *place) {
                items.extend(draw(cell, (column as f64, y), size_px));
            }
        }
    }
    items.extend(circuits(comparison, &columns[..shown], rows, cell_px.0));
    let names = columns.iter().take(shown).map(|(_, (step, connection))| {
        let short = if connection.key() == "shorted" { "short" } else { "field" };
        format!("{step}\n{short}")
    });
    let left_out = if rows < meters.len() || shown < columns.len() {
        format!(" Drawn: {rows} of {} meters, {shown} of {} columns.", meters.len(), columns.len())
    } else {
        String::new()
    };
    let danger = if comparison.cells().iter().any(|cell| cell.is_dangerous) {
        " !: DANGER, the loop's voltage is above the meter's."
    } else {
        ""
    };
    Figure {
        title: "Which meter may set which step".into(),
        caption,
        key,
        panels: vec![Panel {
            area,
            x: Axis::names(
                "brightness step, output shorted or field connected",
                "",
                names.collect(),
            ),
            y: Axis::bare(-0.5, rows as f64 - 0.5),
            items,
        }],
        zooms: Vec::new(),
        footnote: format!("Percent: share of the band left to set in.{danger}{left_out}"),
    }
}

fn draw(cell: &ComparisonCell, (x, y): (f64, f64), size_px: f64) -> Vec<Item> {
    let (ink, word) = match cell.suitability {
        Suitability::Fit => (Ink::Room, "fit"),
        Suitability::WithCare => (Ink::Lighter, "care"),
        Suitability::NotFit => (Ink::Aside, "no"),
    };
    let word = if cell.is_dangerous { format!("{word} !") } else { word.to_owned() };
    let kept = cell.kept_ratio.filter(|_| cell.suitability != Suitability::NotFit);
    let text = |text: String, offset_px: f64, weight| Item::Label {
        at: (x, y),
        offset_px: (0.0, offset_px),
        anchor: Anchor::Middle,
        text,
        look: TextLook::new(size_px, weight, Ink::Text),
        upright: false,
    };
    let (left, right, low, high) = (x - 0.47, x + 0.47, y - 0.46, y + 0.46);
    let mut items = vec![
        Item::Area { x: (left, right), y: (low, high), ink, edge: None },
        Item::Curve {
            points: vec![(left, low), (right, low), (right, high), (left, high), (left, low)],
            stroke: Stroke::solid(Ink::Muted, 1.0),
        },
    ];
    match kept {
        Some(kept) => {
            items.push(text(word, -0.55 * size_px, Weight::Bold));
            let share = format!("{}\u{a0}%", numbers::plain(100.0 * kept, 0));
            items.push(text(share, 0.6 * size_px, Weight::Regular));
        }
        None => items.push(text(word, 0.0, Weight::Bold)),
    }
    items
}

/// The name of each circuit above its columns, with a line where the next begins.
fn circuits<P>(
    comparison: &Comparison,
    columns: &[(usize, P)],
    rows: usize,
    column_px: f64,
) -> Vec<Item> {
    let mut items = Vec::new();
    let top = rows as f64 - 0.5;
    let mut first = 0;
    for of_circuit in columns.chunk_by(|one, other| one.0 == other.0) {
        let room = (of_circuit.len() as f64 * column_px / CHARACTER_PX) as usize;
        let name: String = comparison.circuits()[of_circuit[0].0].chars().take(room).collect();
        items.push(Item::Label {
            at: (first as f64 - 0.5, top),
            offset_px: (2.0, -14.0),
            anchor: Anchor::Start,
            text: super::drawable(&name),
            look: TextLook::new(16.0, Weight::Bold, Ink::Muted),
            upright: false,
        });
        first += of_circuit.len();
        if first < columns.len() {
            let x = first as f64 - 0.5;
            let points = vec![(x, -0.5), (x, top)];
            items.push(Item::Curve { points, stroke: Stroke::solid(Ink::Text, 2.0) });
        }
    }
    items
}

fn lesson(comparison: &Comparison) -> String {
    let meters = comparison.meters().len();
    let count = |verdict: Suitability| {
        (0..meters).filter(|meter| comparison.worst(*meter) == Some(verdict)).count()
    };
    match (count(Suitability::Fit), count(Suitability::WithCare)) {
        (0, 0) => "No meter may set every step here.".to_owned(),
        (0, care) => format!("No meter is plainly fit everywhere; {care} of {meters} with care."),
        (fit, _) => format!("{fit} of {meters} meters may set every step here."),
    }
}

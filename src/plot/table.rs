//! A figure's data as delimited text.

use super::{Figure, Ink, Item, Panel};

/// What stands in front of the axes' columns.
const FRONT: [&str; 5] = ["panel", "item", "kind", "name", "text"];

/// One row: kind, name, text, and the places along both axes where there are any.
type Row = (&'static str, String, String, Option<f64>, Option<f64>);

pub(super) fn csv(figure: &Figure) -> String {
    let mut columns: Vec<String> = Vec::new();
    let mut places = Vec::new();
    for panel in &figure.panels {
        let mut place = |title: String| {
            if title.is_empty() {
                return None;
            }
            let at = columns.iter().position(|known| *known == title).unwrap_or(columns.len());
            if at == columns.len() {
                columns.push(title);
            }
            Some(at)
        };
        places.push((place(panel.x.title()), place(panel.y.title())));
    }
    let mut text = String::new();
    line(&mut text, FRONT.iter().map(|name| (*name).to_owned()).chain(columns.iter().cloned()));
    for (number, (panel, (x_at, y_at))) in figure.panels.iter().zip(&places).enumerate() {
        for (index, item) in panel.items.iter().enumerate() {
            for (kind, name, words, x, y) in rows(figure, panel, item) {
                let mut cells = vec![String::new(); columns.len()];
                let axes = [(x_at, x, &panel.x), (y_at, y, &panel.y)];
                for (at, value, axis) in axes {
                    if let (Some(at), Some(value)) = (at, value) {
                        cells[*at] = axis
                            .name_at(value)
                            .map_or_else(|| written(value), |name| name.replace('\n', " "));
                    }
                }
                let front = [(number + 1).to_string(), (index + 1).to_string(), kind.to_owned()];
                line(&mut text, front.into_iter().chain([name, words]).chain(cells));
            }
        }
    }
    text
}

fn rows(figure: &Figure, panel: &Panel, item: &Item) -> Vec<Row> {
    let none = String::new;
    match item {
        Item::Area { x, y, ink, .. } => [(x.0, y.0), (x.1, y.1)]
            .map(|at| ("area", named(figure, *ink), none(), Some(at.0), Some(at.1)))
            .to_vec(),
        Item::Curve { points, stroke } => {
            let name = curve_name(figure, panel, points, stroke.ink);
            points
                .iter()
                .map(|at| ("curve", name.clone(), none(), Some(at.0), Some(at.1)))
                .collect()
        }
        Item::Level { y, stroke, label } => {
            let name = label.as_ref().map_or_else(|| named(figure, stroke.ink), |l| l.0.clone());
            vec![("level", name, none(), None, Some(*y))]
        }
        Item::Mark { at, ink, marker, .. } => {
            let key = figure.key.iter().find(|entry| {
                entry.ink == *ink && entry.marker.is_some_and(|(known, _)| known == *marker)
            });
            let name = key.map_or_else(
                || curve_name(figure, panel, &[*at], *ink),
                |entry| entry.text.clone(),
            );
            vec![("mark", name, none(), Some(at.0), Some(at.1))]
        }
        Item::Label { at, text, .. } => {
            vec![("label", none(), text.clone(), Some(at.0), Some(at.1))]
        }
        // A drawing without a scale holds no data.
        Item::Sketch { .. } => Vec::new(),
        Item::Callouts { entries, .. } => {
            let words = |entry: &super::Callout| {
                entry.lines.iter().map(|(text, _)| text.as_str()).collect::<Vec<_>>().join("; ")
            };
            entries
                .iter()
                .map(|entry| ("label", none(), words(entry), Some(entry.x), Some(entry.y)))
                .collect()
        }
    }
}

/// A number without the last digits that only come from computing.
fn written(value: f64) -> String {
    let rounded: f64 = format!("{value:.11e}").parse().unwrap_or(value);
    if rounded.abs() < 1e-12 { "0".into() } else { rounded.to_string() }
}

/// The name a callout on the curve gives it or the only one of its colour does, or else what its colour
/// stands for.
fn curve_name(figure: &Figure, panel: &Panel, points: &[(f64, f64)], ink: Ink) -> String {
    let callouts = panel.items.iter().filter_map(|item| match item {
        Item::Callouts { entries, .. } => Some(entries),
        _ => None,
    });
    let of_colour: Vec<_> = callouts.flatten().filter(|entry| entry.ink == ink).collect();
    let on_it = of_colour
        .iter()
        .find(|entry| points.iter().any(|at| near(at.0, entry.x) && near(at.1, entry.y)));
    let only = if let [only] = of_colour.as_slice() { Some(only) } else { None };
    on_it
        .or(only)
        .and_then(|entry| entry.lines.first())
        .map_or_else(|| named(figure, ink), |(text, _)| text.clone())
}

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-12 * a.abs().max(b.abs())
}

/// What a colour stands for: by the figure's key, or in general.
fn named(figure: &Figure, ink: Ink) -> String {
    let key = figure.key.iter().find(|entry| entry.ink == ink);
    key.map_or_else(|| ink.words(), |entry| entry.text.clone())
}

/// One line of the table; what holds a comma, a quote or a line end is quoted (RFC 4180).
fn line(text: &mut String, cells: impl IntoIterator<Item = String>) {
    for (index, cell) in cells.into_iter().enumerate() {
        if index > 0 {
            text.push(',');
        }
        if cell.contains([',', '"', '\n', '\r']) {
            text.push('"');
            text.push_str(&cell.replace('"', "\"\""));
            text.push('"');
        } else {
            text.push_str(&cell);
        }
    }
    text.push('\n');
}

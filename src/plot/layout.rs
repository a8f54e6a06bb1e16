//! From a figure to a scene: where everything stands on the canvas.

use crate::error::{Error, Result};

use super::{
    Anchor, Axis, Callout, Element, Face, Figure, Ink, Item, KeyEntry, Panel, Rect, Scene, Stroke,
    TextLook, TextRun, Weight, Zoom,
};
use super::{font, paragraph, spread};

/// Space kept free at the canvas' edges.
pub(super) const MARGIN_PX: f64 = 30.0;
const TEXT_WIDTH_PX: f64 = Figure::WIDTH_PX - 2.0 * MARGIN_PX;
const CAPTION_PX: f64 = 74.0;
const CAPTION_LINE_PX: f64 = 26.0;
/// From the last line of the caption to the key.
const KEY_BELOW_PX: f64 = 35.0;
const KEY_LINE_PX: f64 = 28.0;
const KEY_LOOK: TextLook = TextLook::new(17.0, Weight::Regular, Ink::Text);
const KEY_TEXT_MOST_PX: f64 = 380.0;

pub(super) fn scene(figure: &Figure) -> Result<Scene> {
    let mut page = Page::default();
    page.head(figure);
    for zoom in &figure.zooms {
        page.zoom(figure, zoom)?;
    }
    for panel in &figure.panels {
        page.panel(panel);
    }
    page.key(figure);
    page.footnote(&figure.footnote);
    check(&page.scene)?;
    Ok(page.scene)
}

/// Where panels with the titles of their axes may begin, below caption and key.
pub(super) fn content_top_px(caption: &str, key: &[KeyEntry]) -> f64 {
    match key_places_px(caption, key).last() {
        None => key_top_px(caption) - 6.0,
        Some((_, y_px)) => y_px + KEY_LINE_PX,
    }
}

fn caption_lines(caption: &str) -> Vec<String> {
    paragraph::lines(caption, TextLook::CAPTION, TEXT_WIDTH_PX, 2)
}

fn key_top_px(caption: &str) -> f64 {
    let lines = caption_lines(caption).len().max(1) - 1;
    CAPTION_LINE_PX.mul_add(lines as f64, CAPTION_PX + KEY_BELOW_PX)
}

/// Where each entry of the key begins: from left to right, then on the next line.
fn key_places_px(caption: &str, key: &[KeyEntry]) -> Vec<(f64, f64)> {
    let (mut x_px, mut y_px) = (MARGIN_PX, key_top_px(caption));
    let mut places = Vec::with_capacity(key.len());
    for entry in key {
        let text = paragraph::fitted(&entry.text, KEY_LOOK, KEY_TEXT_MOST_PX);
        let width_px = 32.0 + font::width_px(&text, KEY_LOOK.size_px, KEY_LOOK.weight);
        if x_px > MARGIN_PX && x_px + width_px > Figure::WIDTH_PX - MARGIN_PX {
            (x_px, y_px) = (MARGIN_PX, y_px + KEY_LINE_PX);
        }
        places.push((x_px, y_px));
        x_px += width_px + 26.0;
    }
    places
}

#[derive(Default)]
struct Page {
    scene: Scene,
}

impl Page {
    fn text(&mut self, at_px: (f64, f64), anchor: Anchor, look: TextLook, text: &str) {
        let run = TextRun { text: text.to_owned(), at_px, anchor, look, upright: false };
        self.scene.elements.push(Element::Text(run));
    }

    fn line(&mut self, points_px: Vec<(f64, f64)>, stroke: Stroke) {
        self.scene.elements.push(Element::Line { points_px, stroke });
    }

    fn fill(&mut self, points_px: Vec<(f64, f64)>, ink: Ink) {
        self.scene.elements.push(Element::Fill { points_px, ink });
    }

    fn head(&mut self, figure: &Figure) {
        let title = paragraph::fitted(&figure.title, TextLook::TITLE, TEXT_WIDTH_PX);
        self.text((MARGIN_PX, 38.0), Anchor::Start, TextLook::TITLE, &title);
        for (index, line) in caption_lines(&figure.caption).iter().enumerate() {
            let y_px = CAPTION_LINE_PX.mul_add(index as f64, CAPTION_PX);
            self.text((MARGIN_PX, y_px), Anchor::Start, TextLook::CAPTION, line);
        }
    }

    fn footnote(&mut self, footnote: &str) {
        let lines = paragraph::lines(footnote, TextLook::FOOTNOTE, TEXT_WIDTH_PX, 2);
        for (index, line) in lines.iter().enumerate() {
            let up = (lines.len() - 1 - index) as f64;
            let y_px = Figure::HEIGHT_PX - 16.0 - 19.0 * up;
            self.text((MARGIN_PX, y_px), Anchor::Start, TextLook::FOOTNOTE, line);
        }
    }

    fn key(&mut self, figure: &Figure) {
        let places_px = key_places_px(&figure.caption, &figure.key);
        for (entry, (x_px, y_px)) in figure.key.iter().zip(places_px) {
            let sign_px = (x_px + 11.0, y_px);
            match entry.marker {
                Some((marker, face)) => self.scene.elements.push(Element::Mark {
                    at_px: sign_px,
                    radius_px: 7.5,
                    marker,
                    ink: entry.ink,
                    face,
                }),
                None => {
                    let swatch_px = KeyEntry::swatch_px(sign_px.0, sign_px.1).corners_px();
                    self.fill(swatch_px, entry.ink);
                }
            }
            let text = paragraph::fitted(&entry.text, KEY_LOOK, KEY_TEXT_MOST_PX);
            self.text((x_px + 32.0, y_px), Anchor::Start, KEY_LOOK, &text);
        }
    }

    fn zoom(&mut self, figure: &Figure, zoom: &Zoom) -> Result<()> {
        let (Some(whole), Some(part)) =
            (figure.panels.get(zoom.whole), figure.panels.get(zoom.part))
        else {
            return Err(Error::inconsistent(
                "a magnified part refers to a panel that is not there",
            ));
        };
        let from_px = whole.area.right_px;
        // The numbers of the magnifying panel stand between the wedge and its axis.
        let to_px = part.area.left_px - 64.0;
        let height_px = |panel: &Panel, value: f64| panel.place_px((panel.x.from, value)).1;
        let wedge_px = [
            (from_px, height_px(whole, zoom.to)),
            (to_px, height_px(part, zoom.to)),
            (to_px, height_px(part, zoom.from)),
            (from_px, height_px(whole, zoom.from)),
        ];
        self.fill(wedge_px.to_vec(), Ink::Aside);
        for pair in [[0, 1], [3, 2]] {
            let edge_px = pair.map(|corner| wedge_px[corner]).to_vec();
            self.line(edge_px, Stroke::solid(Ink::Grid, 2.0));
        }
        Ok(())
    }

    fn panel(&mut self, panel: &Panel) {
        self.grid(panel);
        for item in &panel.items {
            if let Item::Area { x, y, ink, edge } = item {
                self.area(panel, *x, *y, *ink, *edge);
            }
        }
        self.horizontal_axis(panel);
        self.vertical_axis(panel);
        let mut taken_px = Vec::new();
        for item in &panel.items {
            self.item(panel, item, &mut taken_px);
        }
    }

    fn area(
        &mut self,
        panel: &Panel,
        x: (f64, f64),
        y: (f64, f64),
        ink: Ink,
        edge: Option<Stroke>,
    ) {
        let (left_px, bottom_px) = panel.place_px((x.0, y.0));
        let (right_px, top_px) = panel.place_px((x.1, y.1));
        let rect_px = Rect::new(left_px, top_px, right_px, bottom_px);
        self.fill(rect_px.corners_px(), ink);
        if let Some(stroke) = edge {
            for y_px in [top_px, bottom_px] {
                self.line(vec![(left_px, y_px), (right_px, y_px)], stroke);
            }
        }
    }

    fn grid(&mut self, panel: &Panel) {
        let Rect { left_px, top_px, right_px, bottom_px } = panel.area;
        let fine = Stroke::solid(Ink::Grid, 1.0);
        let crossed = |axis: &Axis| -> Vec<f64> {
            let lines = axis.ticks.iter().filter(|tick| axis.grid && tick.line);
            lines.map(|tick| tick.at).collect()
        };
        for at in crossed(&panel.x) {
            let (x_px, _) = panel.place_px((at, panel.y.from));
            self.line(vec![(x_px, top_px), (x_px, bottom_px)], fine);
        }
        for at in crossed(&panel.y) {
            let (_, y_px) = panel.place_px((panel.x.from, at));
            self.line(vec![(left_px, y_px), (right_px, y_px)], fine);
        }
    }

    fn horizontal_axis(&mut self, panel: &Panel) {
        let Rect { left_px, right_px, bottom_px, .. } = panel.area;
        let axis = &panel.x;
        let mut most_lines = 0;
        for tick in &axis.ticks {
            let (x_px, _) = panel.place_px((tick.at, panel.y.from));
            if !axis.named {
                let notch_px = vec![(x_px, bottom_px), (x_px, bottom_px + 6.0)];
                self.line(notch_px, Stroke::solid(Ink::Muted, 1.5));
            }
            for (index, line) in tick.text.split('\n').enumerate() {
                let y_px = bottom_px + 20.0 + 21.0 * index as f64;
                self.text((x_px, y_px), Anchor::Middle, TextLook::TICK, line);
                most_lines = most_lines.max(index + 1);
            }
        }
        if axis.label.is_empty() {
            return;
        }
        self.line(
            vec![(left_px, bottom_px), (right_px, bottom_px)],
            Stroke::solid(Ink::Muted, 1.5),
        );
        let below_px = bottom_px + 26.0 + 21.0 * most_lines as f64;
        let middle_px = 0.5 * (left_px + right_px);
        self.text((middle_px, below_px), Anchor::Middle, TextLook::AXIS, &axis.title());
    }

    fn vertical_axis(&mut self, panel: &Panel) {
        let Rect { left_px, top_px, right_px, bottom_px } = panel.area;
        let axis = &panel.y;
        for tick in &axis.ticks {
            let (_, y_px) = panel.place_px((panel.x.from, tick.at));
            self.text((left_px - 11.0, y_px), Anchor::End, TextLook::TICK, &tick.text);
        }
        if axis.label.is_empty() {
            return;
        }
        if !axis.named {
            let upright_px = vec![(left_px, top_px), (left_px, bottom_px)];
            self.line(upright_px, Stroke::solid(Ink::Muted, 1.5));
            if axis.from < 0.0 && axis.to > 0.0 {
                let (_, zero_px) = panel.place_px((panel.x.from, 0.0));
                self.line(vec![(left_px, zero_px), (right_px, zero_px)], zero_stroke());
            }
        }
        let start_px = (left_px - 78.0).max(MARGIN_PX);
        self.text((start_px, top_px - 22.0), Anchor::Start, TextLook::AXIS, &axis.title());
    }

    fn item(&mut self, panel: &Panel, item: &Item, taken_px: &mut Vec<Rect>) {
        let shifted = |at: (f64, f64), offset_px: (f64, f64)| {
            let (x_px, y_px) = panel.place_px(at);
            (x_px + offset_px.0, y_px + offset_px.1)
        };
        match item {
            Item::Area { .. } => {}
            Item::Curve { points, stroke } => {
                self.line(points.iter().map(|at| panel.place_px(*at)).collect(), *stroke);
            }
            Item::Level { y, stroke, label } => {
                let Rect { left_px, right_px, .. } = panel.area;
                let (_, y_px) = panel.place_px((panel.x.from, *y));
                self.line(vec![(left_px, y_px), (right_px, y_px)], *stroke);
                if let Some((text, look)) = label {
                    let at_px = free_place_px(panel, y_px, text, *look, taken_px);
                    self.text(at_px, Anchor::Start, *look, text);
                }
            }
            Item::Mark { at, offset_px, marker, ink, face, radius_px } => {
                self.scene.elements.push(Element::Mark {
                    at_px: shifted(*at, *offset_px),
                    radius_px: *radius_px,
                    marker: *marker,
                    ink: *ink,
                    face: *face,
                });
            }
            Item::Label { at, offset_px, anchor, text, look, upright } => {
                let run = TextRun {
                    text: text.clone(),
                    at_px: shifted(*at, *offset_px),
                    anchor: *anchor,
                    look: *look,
                    upright: *upright,
                };
                taken_px.push(run.bounds_px());
                self.scene.elements.push(Element::Text(run));
            }
            Item::Sketch { at, offset_px, half_px, points, stroke } => {
                let (x_px, y_px) = shifted(*at, *offset_px);
                let place = |(x, y): &(f64, f64)| {
                    (half_px.0.mul_add(*x, x_px), (-half_px.1).mul_add(*y, y_px))
                };
                self.line(points.iter().map(place).collect(), *stroke);
            }
            Item::Callouts { offset_px, entries } => self.callouts(panel, *offset_px, entries),
        }
    }

    fn callouts(&mut self, panel: &Panel, offset_px: f64, entries: &[Callout]) {
        let column_px = panel.area.right_px + offset_px;
        let starts_px: Vec<_> =
            entries.iter().map(|entry| panel.place_px((entry.x, entry.y))).collect();
        let wanted: Vec<_> = entries
            .iter()
            .zip(&starts_px)
            .map(|(entry, (_, y_px))| (*y_px, entry.height_px()))
            .collect();
        let reach_px = 10.0;
        let centres_px =
            spread::spread(&wanted, panel.area.top_px - reach_px, panel.area.bottom_px + reach_px);
        for ((entry, start_px), centre_px) in entries.iter().zip(starts_px).zip(centres_px) {
            let leader_px = vec![
                start_px,
                (panel.area.right_px + 4.0, start_px.1),
                (column_px - 16.0, centre_px),
                (column_px - 6.0, centre_px),
            ];
            self.line(leader_px, Stroke::solid(entry.ink, 2.0));
            let mut y_px = centre_px - 0.5 * (entry.height_px() - Callout::GAP_PX);
            for (text, look) in &entry.lines {
                let line_px = look.size_px * Callout::LEADING_RATIO;
                let room_px = Figure::WIDTH_PX - MARGIN_PX - column_px;
                let text = paragraph::fitted(text, *look, room_px);
                self.text((column_px, y_px + 0.5 * line_px), Anchor::Start, *look, &text);
                y_px += line_px;
            }
        }
    }
}

fn zero_stroke() -> Stroke {
    Stroke::solid(Ink::Muted, 1.5)
}

/// Where a label beside a level is clear of the panel's curves and of the labels placed before:
/// the first such place from the left, above the level before below, or else the clearest.
fn free_place_px(
    panel: &Panel,
    level_px: f64,
    text: &str,
    look: TextLook,
    taken_px: &mut Vec<Rect>,
) -> (f64, f64) {
    const CLEAR_PX: f64 = 8.0;
    let curves_px: Vec<(f64, f64)> = panel
        .items
        .iter()
        .filter_map(|item| match item {
            Item::Curve { points, .. } => Some(points),
            _ => None,
        })
        .flatten()
        .map(|at| panel.place_px(*at))
        .collect();
    let width_px = font::width_px(text, look.size_px, look.weight);
    let half_px = 0.5 * look.size_px;
    let mut best: Option<(f64, Rect)> = None;
    'search: for side in [-1.0, 1.0] {
        let y_px = level_px + side * (half_px + 5.0);
        let mut left_px = panel.area.left_px + 10.0;
        while left_px + width_px < panel.area.right_px - 4.0 {
            let rect = Rect::new(left_px, y_px - half_px, left_px + width_px, y_px + half_px);
            left_px += 6.0;
            if taken_px.iter().any(|other| other.overlaps(&rect)) {
                continue;
            }
            let clear_px = curves_px
                .iter()
                .filter(|(x_px, _)| {
                    (rect.left_px - CLEAR_PX..=rect.right_px + CLEAR_PX).contains(x_px)
                })
                .map(|(_, at_px)| (at_px - y_px).abs() - half_px)
                .fold(f64::INFINITY, f64::min);
            if best.is_none_or(|(most_px, _)| clear_px > most_px) {
                best = Some((clear_px, rect));
            }
            if clear_px >= CLEAR_PX {
                break 'search;
            }
        }
    }
    let fallback_px = (panel.area.left_px + 10.0, level_px - half_px - 5.0);
    best.map_or(fallback_px, |(_, rect)| {
        taken_px.push(rect);
        (rect.left_px, rect.top_px + half_px)
    })
}

/// Whether every character can be drawn and every place is a number.
fn check(scene: &Scene) -> Result<()> {
    for run in scene.texts() {
        if let Some(character) = font::missing(&run.text, run.look.weight) {
            return Err(Error::malformed(
                "text the figures' font can draw (Latin letters, Greek, mathematical signs)",
                format!("\"{character}\" (U+{:04X}) in \"{}\"", u32::from(character), run.text),
            )
            .with_hint("write the name in Latin letters"));
        }
    }
    let finite = |(x_px, y_px): &(f64, f64)| x_px.is_finite() && y_px.is_finite();
    let sound = scene.elements.iter().all(|element| match element {
        Element::Fill { points_px, .. } | Element::Line { points_px, .. } => {
            points_px.iter().all(finite)
        }
        Element::Mark { at_px, .. } => finite(at_px),
        Element::Text(run) => finite(&run.at_px),
    });
    if sound {
        Ok(())
    } else {
        Err(Error::inconsistent("a figure holds a number that is not finite"))
    }
}

impl Axis {
    /// Whether the axis says what its numbers are.
    #[must_use]
    pub fn speaks(&self) -> bool {
        self.named || (!self.label.is_empty() && !self.unit.is_empty())
    }
}

impl KeyEntry {
    /// A full mark and what it stands for.
    pub(super) fn mark(marker: super::Marker, ink: Ink, text: impl Into<String>) -> Self {
        Self { marker: Some((marker, Face::Full)), ink, text: text.into() }
    }

    /// A shaded box and what it stands for.
    pub(super) fn shade(ink: Ink, text: impl Into<String>) -> Self {
        Self { marker: None, ink, text: text.into() }
    }
}

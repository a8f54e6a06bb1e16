//! From a figure to a scene: where everything stands on the canvas.

use crate::error::{Error, Result};

use super::{
    Anchor, Canvas, Element, Figure, Ink, KeyEntry, Panel, Scene, Stroke, TextLook, TextRun,
    Weight, Zoom,
};
use super::{font, paragraph};

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

pub(super) fn scene(figure: &Figure, canvas: Canvas) -> Result<Scene> {
    let figure = &canvas.stretched(figure);
    let mut page = Page { scene: Scene::default(), height_px: canvas.inner_height_px() };
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
    Ok(canvas.placed(page.scene))
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

/// The canvas while it is being filled.
pub(super) struct Page {
    pub(super) scene: Scene,
    /// Height of what lies inside the canvas' margins.
    height_px: f64,
}

impl Page {
    pub(super) fn text(&mut self, at_px: (f64, f64), anchor: Anchor, look: TextLook, text: &str) {
        let run = TextRun { text: text.to_owned(), at_px, anchor, look, upright: false };
        self.scene.elements.push(Element::Text(run));
    }

    pub(super) fn line(&mut self, points_px: Vec<(f64, f64)>, stroke: Stroke) {
        self.scene.elements.push(Element::Line { points_px, stroke });
    }

    pub(super) fn fill(&mut self, points_px: Vec<(f64, f64)>, ink: Ink) {
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
            let y_px = self.height_px - 16.0 - 19.0 * up;
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

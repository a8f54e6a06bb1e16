//! A panel on its canvas: grid, axes and contents.

use super::layout::{MARGIN_PX, Page};
use super::{
    Anchor, Axis, AxisShows, Callout, Element, Figure, Ink, Item, Panel, Rect, Stroke, TextLook,
    TextRun,
};
use super::{font, paragraph, spread};

impl Page {
    pub(super) fn panel(&mut self, panel: &Panel) {
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
            if axis.shows == AxisShows::Nothing {
                continue;
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
        if axis.shows != AxisShows::TitleAndNumbers {
            return;
        }
        let below_px = bottom_px + 26.0 + 21.0 * most_lines as f64;
        let middle_px = 0.5 * (left_px + right_px);
        self.text((middle_px, below_px), Anchor::Middle, TextLook::AXIS, &axis.title());
    }

    fn vertical_axis(&mut self, panel: &Panel) {
        let Rect { left_px, top_px, right_px, bottom_px } = panel.area;
        let axis = &panel.y;
        for tick in axis.ticks.iter().filter(|_| axis.shows != AxisShows::Nothing) {
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
                self.line(
                    vec![(left_px, zero_px), (right_px, zero_px)],
                    Stroke::solid(Ink::Muted, 1.5),
                );
            }
        }
        if axis.shows != AxisShows::TitleAndNumbers {
            return;
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

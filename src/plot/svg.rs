//! From a scene to SVG.
//!
//! plotters rounds every coordinate to whole pixels, which turns curves into stairs. So everything
//! is drawn [`ENLARGED`] times as large, and only the size in the root tag is put back: one unit of
//! the drawing is then an eighth of a pixel. As a welcome side effect coordinates are whole numbers,
//! and the last bit of a sine does not show in the file.

use std::f64::consts::PI;

use plotters::backend::SVGBackend;
use plotters::coord::Shift;
use plotters::drawing::{DrawingArea, IntoDrawingArea};
use plotters::element::{Circle, PathElement, Polygon};
use plotters::style::text_anchor::{HPos, Pos, VPos};
use plotters::style::{Color, FontStyle, FontTransform, IntoFont, RGBColor, ShapeStyle, TextStyle};

use super::{
    Anchor, Canvas, Dash, Element, Face, Figure, Ink, Marker, Palette, Scene, Stroke, TextRun,
    Weight,
};
use super::{curve, font};

const ENLARGED: f64 = 8.0;
/// plotters writes a font size divided by this.
const PLOTTERS_FONT_RATIO: f64 = 1.24;
const INTO_A_STRING: &str = "drawing into a string cannot fail";

type Surface<'a> = DrawingArea<SVGBackend<'a>, Shift>;

/// The whole file.
pub(super) fn document(scene: &Scene, figure: &Figure, sheet: Canvas, palette: &Palette) -> String {
    let (width_px, height_px) = sheet.size_px();
    font::register();
    let mut body = String::new();
    {
        let size = (units(width_px) as u32, units(height_px) as u32);
        let canvas = SVGBackend::with_string(&mut body, size).into_drawing_area();
        canvas.fill(&colour(palette, Ink::Background)).expect(INTO_A_STRING);
        for element in &scene.elements {
            draw(&canvas, element, palette);
        }
        canvas.present().expect(INTO_A_STRING);
    }
    let (_, drawn) =
        body.split_once('\n').expect("plotters puts the root tag on a line of its own");
    format!(
        "<svg width=\"{w}\" height=\"{h}\" viewBox=\"0 0 {vw} {vh}\" stroke-linejoin=\"round\" \
         role=\"img\" xmlns=\"http://www.w3.org/2000/svg\">\n<title>{title}</title>\n\
         <desc>{caption}</desc>\n{drawn}",
        w = width_px,
        h = height_px,
        vw = units(width_px),
        vh = units(height_px),
        title = escaped(&figure.title),
        caption = escaped(&figure.caption),
    )
}

fn draw(canvas: &Surface<'_>, element: &Element, palette: &Palette) {
    match element {
        Element::Fill { points_px, ink } => polygon(canvas, points_px, colour(palette, *ink)),
        Element::Line { points_px, stroke } => line(canvas, points_px, *stroke, palette),
        Element::Mark { at_px, radius_px, marker, ink, face } => {
            mark(canvas, *at_px, *radius_px, (*marker, *face), *ink, palette);
        }
        Element::Text(run) => text(canvas, run, palette),
    }
}

fn polygon(canvas: &Surface<'_>, points_px: &[(f64, f64)], fill: RGBColor) {
    let corners: Vec<_> = points_px.iter().copied().map(place).collect();
    canvas.draw(&Polygon::new(corners, fill.filled())).expect(INTO_A_STRING);
}

fn line(canvas: &Surface<'_>, points_px: &[(f64, f64)], stroke: Stroke, palette: &Palette) {
    let style = outline(colour(palette, stroke.ink), stroke.width_px);
    let pieces = match stroke.dash.pattern_px() {
        None => vec![points_px.to_vec()],
        Some(pattern_px) => curve::dashes(points_px, pattern_px),
    };
    for piece in pieces {
        let mut path: Vec<_> = piece.into_iter().map(place).collect();
        path.dedup();
        if path.len() > 1 {
            canvas.draw(&PathElement::new(path, style)).expect(INTO_A_STRING);
        }
    }
}

fn mark(
    canvas: &Surface<'_>,
    (x_px, y_px): (f64, f64),
    radius_px: f64,
    (marker, face): (Marker, Face),
    ink: Ink,
    palette: &Palette,
) {
    let edge = colour(palette, ink);
    let fill = if face == Face::Full { edge } else { colour(palette, Ink::Background) };
    let style = outline(edge, 2.5);
    let Some(corners) = marker.corners() else {
        let centre = place((x_px, y_px));
        let radius = units(radius_px);
        canvas.draw(&Circle::new(centre, radius, fill.filled())).expect(INTO_A_STRING);
        if face == Face::Half {
            let round = (0..=HALF_TURN_POINTS).map(|k| {
                let (dy, dx) = (PI * k as f64 / HALF_TURN_POINTS as f64).sin_cos();
                (dx.mul_add(radius_px, x_px), dy.mul_add(radius_px, y_px))
            });
            polygon(canvas, &round.collect::<Vec<_>>(), edge);
        }
        canvas.draw(&Circle::new(centre, radius, style)).expect(INTO_A_STRING);
        return;
    };
    let mut ring: Vec<(f64, f64)> = corners
        .into_iter()
        .map(|(dx, dy)| (dx.mul_add(radius_px, x_px), dy.mul_add(radius_px, y_px)))
        .collect();
    polygon(canvas, &ring, fill);
    if face == Face::Half {
        polygon(canvas, &below(&ring, y_px), edge);
    }
    // Back to the first two corners, so that the last joint is rounded like the others.
    ring.extend_from_within(..2);
    let stroke = Stroke { ink, width_px: 2.5, dash: Dash::Solid };
    line(canvas, &ring, stroke, palette);
}

/// Corners of half a disc: no straight piece of its edge is seen.
const HALF_TURN_POINTS: usize = 24;

/// The part of a polygon below a height (y runs down), cut along it.
fn below(ring: &[(f64, f64)], height_px: f64) -> Vec<(f64, f64)> {
    let mut part = Vec::with_capacity(ring.len() + 2);
    for (index, (x, y)) in ring.iter().enumerate() {
        let (next_x, next_y) = ring[(index + 1) % ring.len()];
        if *y >= height_px {
            part.push((*x, *y));
        }
        if (*y - height_px) * (next_y - height_px) < 0.0 {
            let share = (height_px - y) / (next_y - y);
            part.push((share.mul_add(next_x - x, *x), height_px));
        }
    }
    part
}

fn text(canvas: &Surface<'_>, run: &TextRun, palette: &Palette) {
    let style = match run.look.weight {
        Weight::Regular => FontStyle::Normal,
        Weight::Bold => FontStyle::Bold,
    };
    let size = font_size(run.look.size_px * ENLARGED);
    let turn = if run.upright { FontTransform::Rotate270 } else { FontTransform::None };
    let h_pos = match run.anchor {
        Anchor::Start => HPos::Left,
        Anchor::Middle => HPos::Center,
        Anchor::End => HPos::Right,
    };
    let ink = colour(palette, run.look.ink);
    let look = TextStyle::from((font::FAMILY, size, style).into_font().transform(turn))
        .color(&ink)
        .pos(Pos::new(h_pos, VPos::Center));
    canvas.draw_text(&run.text, &look, place(run.at_px)).expect(INTO_A_STRING);
}

/// The size to give to plotters so that it writes the wanted one without a tail of digits.
fn font_size(wanted: f64) -> f64 {
    let near = wanted * PLOTTERS_FONT_RATIO;
    let written = |size: &f64| format!("{}", size / PLOTTERS_FONT_RATIO) == format!("{wanted}");
    [near, near.next_up(), near.next_down()].into_iter().find(written).unwrap_or(near)
}

fn outline(colour: RGBColor, width_px: f64) -> ShapeStyle {
    colour.stroke_width(units(width_px) as u32)
}

fn colour(palette: &Palette, ink: Ink) -> RGBColor {
    let super::Rgb(red, green, blue) = palette.colour(ink);
    RGBColor(red, green, blue)
}

fn units(px: f64) -> i32 {
    (px * ENLARGED).round() as i32
}

fn place((x_px, y_px): (f64, f64)) -> (i32, i32) {
    (units(x_px), units(y_px))
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}

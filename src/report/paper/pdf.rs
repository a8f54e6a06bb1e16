//! Sheets as PDF.

use jiff::Timestamp;
use jiff::tz::TimeZone;
use krilla::color::luma;
use krilla::configure::{Archival, ConfigurationBuilder};
use krilla::destination::XyzDestination;
use krilla::geom::{PathBuilder, Point, Rect, Size, Transform};
use krilla::metadata::{DateTime, Metadata};
use krilla::num::NormalizedF32;
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use krilla::paint::{Fill, FillRule, Stroke};
use krilla::surface::Surface;
use krilla::text::{Font, GlyphId, KrillaGlyph};
use krilla::{Document, SerializeSettings};
use krilla_svg::{SurfaceExt, SvgSettings};

use crate::error::{Error, Result};
use crate::plot::{Weight, font_file, glyphs};

use super::{Frame, Mark, Sheet, Writing};

const FINITE: &str = "places on a sheet are finite and sizes positive";

/// The whole file.
pub(super) fn document(
    writing: &Writing,
    sheets: &[Sheet],
    (width_pt, height_pt): (f64, f64),
) -> Result<Vec<u8>> {
    let failed = |what: String| Error::inconsistent(format!("the PDF cannot be written: {what}"));
    let mut configuration = ConfigurationBuilder::new();
    if writing.at.is_some() {
        configuration = configuration.with_archival_validator(Archival::A2_B);
    }
    let settings = SerializeSettings {
        configuration: configuration.finish().map_err(|error| failed(format!("{error:?}")))?,
        ..SerializeSettings::default()
    };
    let mut pdf = Document::new_with(settings);
    let fonts = Fonts::new();
    let mut outline = Outline::new();
    for (index, sheet) in sheets.iter().enumerate() {
        let (width, height) = (width_pt as f32, height_pt as f32);
        let mut page = pdf.start_page_with(PageSettings::from_wh(width, height).expect(FINITE));
        let mut surface = page.surface();
        for mark in &sheet.marks {
            if let Mark::Bookmark { y_pt, text } = mark {
                let destination = XyzDestination::new(index, Point::from_xy(0.0, *y_pt as f32));
                outline.push_child(OutlineNode::new(text.clone(), destination));
            } else {
                draw(&mut surface, mark, &fonts)?;
            }
        }
        surface.finish();
        page.finish();
    }
    pdf.set_outline(outline);
    let mut metadata = Metadata::new()
        .title(writing.title.clone())
        .language(Writing::LANGUAGE.into())
        .creator(writing.program.clone());
    if let Some(at) = writing.at {
        metadata = metadata.creation_date(date_time(at));
    }
    pdf.set_metadata(metadata);
    pdf.finish().map_err(|error| failed(format!("{error:?}")))
}

struct Fonts {
    regular: Font,
    bold: Font,
}

impl Fonts {
    fn new() -> Self {
        let font = |weight| {
            Font::new(font_file(weight).to_vec().into(), 0)
                .expect("the embedded font is a sound font file")
        };
        Self { regular: font(Weight::Regular), bold: font(Weight::Bold) }
    }

    fn of(&self, weight: Weight) -> Font {
        match weight {
            Weight::Regular => self.regular.clone(),
            Weight::Bold => self.bold.clone(),
        }
    }
}

fn draw(surface: &mut Surface<'_>, mark: &Mark, fonts: &Fonts) -> Result<()> {
    match mark {
        Mark::Text { at_pt, text, size_pt, weight, grey } => {
            surface.set_stroke(None);
            surface.set_fill(Some(fill(*grey)));
            let glyphs: Vec<KrillaGlyph> = glyphs(text, *weight)
                .map(|(glyph, advance, at)| {
                    let length = text[at..].chars().next().map_or(0, char::len_utf8);
                    let id = GlyphId::new(u32::from(glyph));
                    KrillaGlyph::new(id, advance as f32, 0.0, 0.0, 0.0, at..at + length, None)
                })
                .collect();
            let font = fonts.of(*weight);
            surface.draw_glyphs(point(*at_pt), &glyphs, font, text, *size_pt as f32, false);
        }
        Mark::Line { from_pt, to_pt, width_pt, grey } => {
            let mut path = PathBuilder::new();
            path.move_to(from_pt.0 as f32, from_pt.1 as f32);
            path.line_to(to_pt.0 as f32, to_pt.1 as f32);
            surface.set_fill(None);
            surface.set_stroke(Some(Stroke {
                paint: level(*grey).into(),
                width: *width_pt as f32,
                ..Stroke::default()
            }));
            surface.draw_path(&path.finish().expect(FINITE));
        }
        Mark::Area { frame, grey } => {
            let mut path = PathBuilder::new();
            path.push_rect(rect(frame));
            surface.set_stroke(None);
            surface.set_fill(Some(fill(*grey)));
            surface.draw_path(&path.finish().expect(FINITE));
        }
        Mark::Figure { frame, drawing } => {
            let rect = rect(frame);
            surface.push_transform(&Transform::from_translate(rect.left(), rect.top()));
            let size = Size::from_wh(rect.width(), rect.height()).expect(FINITE);
            let drawn = surface.draw_svg(&drawing.tree(), size, SvgSettings::default());
            surface.pop();
            if drawn.is_none() {
                return Err(Error::inconsistent("a figure cannot be put into the PDF"));
            }
        }
        Mark::Bookmark { .. } => {}
    }
    Ok(())
}

fn point((x_pt, y_pt): (f64, f64)) -> Point {
    Point::from_xy(x_pt as f32, y_pt as f32)
}

fn rect(frame: &Frame) -> Rect {
    let Frame { left_pt, top_pt, right_pt, bottom_pt } = *frame;
    Rect::from_ltrb(left_pt as f32, top_pt as f32, right_pt as f32, bottom_pt as f32).expect(FINITE)
}

fn level(grey: f64) -> luma::Color {
    luma::Color::new((255.0 * grey).round() as u8)
}

fn fill(grey: f64) -> Fill {
    Fill { paint: level(grey).into(), opacity: NormalizedF32::ONE, rule: FillRule::NonZero }
}

fn date_time(at: Timestamp) -> DateTime {
    let at = at.to_zoned(TimeZone::UTC);
    let small = |value: i8| value.unsigned_abs();
    DateTime::new(at.year().unsigned_abs())
        .month(small(at.month()))
        .day(small(at.day()))
        .hour(small(at.hour()))
        .minute(small(at.minute()))
        .second(small(at.second()))
        .utc_offset_hour(0)
        .utc_offset_minute(0)
}

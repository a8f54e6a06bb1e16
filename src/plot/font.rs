//! The embedded fonts: which characters they have, and how wide a text is.

use std::sync::{Arc, LazyLock, Once};

use plotters::style::{FontStyle, register_font};
use resvg::usvg::fontdb::Database;
use ttf_parser::Face;

static REGULAR: &[u8] = include_bytes!("fonts/dejavu-subset.ttf");
static BOLD: &[u8] = include_bytes!("fonts/dejavu-bold-subset.ttf");

/// Named in the SVG. A viewer without the first takes its own sans-serif, which is narrower in
/// every common case, so that labels still fit.
pub(super) const FAMILY: &str = "DejaVu Sans, sans-serif";

/// Weight of the type.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Weight {
    /// Ordinary.
    Regular,
    /// Bold.
    Bold,
}

fn face(weight: Weight) -> &'static Face<'static> {
    static FACES: LazyLock<[Face<'static>; 2]> = LazyLock::new(|| {
        [REGULAR, BOLD]
            .map(|bytes| Face::parse(bytes, 0).expect("the embedded font is a sound font file"))
    });
    match weight {
        Weight::Regular => &FACES[0],
        Weight::Bold => &FACES[1],
    }
}

/// The embedded font of a weight, as its file.
#[must_use]
pub fn font_file(weight: Weight) -> &'static [u8] {
    match weight {
        Weight::Regular => REGULAR,
        Weight::Bold => BOLD,
    }
}

/// The glyphs of a text, one for each character the font has: number of the glyph, its advance as a
/// share of the size of the type, first byte of the character in the text.
pub fn glyphs(text: &str, weight: Weight) -> impl Iterator<Item = (u16, f64, usize)> {
    let face = face(weight);
    let em = f64::from(face.units_per_em());
    text.char_indices().filter_map(move |(at, character)| {
        let glyph = face.glyph_index(character)?;
        Some((glyph.0, f64::from(face.glyph_hor_advance(glyph)?) / em, at))
    })
}

/// Width of a text without kerning, which could only make it narrower.
#[must_use]
pub fn text_width_px(text: &str, size_px: f64, weight: Weight) -> f64 {
    width_px(text, size_px, weight)
}

/// Width of a text without kerning, which could only make it narrower.
pub(super) fn width_px(text: &str, size_px: f64, weight: Weight) -> f64 {
    let face = face(weight);
    let units: u32 = text
        .chars()
        .filter_map(|character| face.glyph_index(character))
        .filter_map(|glyph| face.glyph_hor_advance(glyph))
        .map(u32::from)
        .sum();
    f64::from(units) * size_px / f64::from(face.units_per_em())
}

/// The first character the font cannot draw.
pub(super) fn missing(text: &str, weight: Weight) -> Option<char> {
    text.chars().find(|character| face(weight).glyph_index(*character).is_none())
}

/// Whether the embedded fonts have a character, in both weights.
#[must_use]
pub fn is_drawable(character: char) -> bool {
    [Weight::Regular, Weight::Bold]
        .into_iter()
        .all(|weight| face(weight).glyph_index(character).is_some())
}

/// The text with a question mark in the place of every character the figures' fonts lack.
#[must_use]
pub fn drawable(text: &str) -> String {
    text.chars().map(|character| if is_drawable(character) { character } else { '?' }).collect()
}

/// Makes the fonts known to plotters, once for the process.
pub(super) fn register() {
    static ONCE: Once = Once::new();
    ONCE.call_once(|| {
        for (style, bytes) in [(FontStyle::Normal, REGULAR), (FontStyle::Bold, BOLD)] {
            let registered = register_font(FAMILY, style, bytes).is_ok();
            assert!(registered, "the embedded font is a sound font file");
        }
    });
}

/// The only fonts a PNG is drawn with.
pub(super) fn database() -> Arc<Database> {
    static FONTS: LazyLock<Arc<Database>> = LazyLock::new(|| {
        let mut fonts = Database::new();
        fonts.load_font_data(REGULAR.to_vec());
        fonts.load_font_data(BOLD.to_vec());
        Arc::new(fonts)
    });
    Arc::clone(&FONTS)
}

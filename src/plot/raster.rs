//! From the SVG to a PNG, with the embedded fonts only.

use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg::{Options, Tree};

use super::font;

/// The picture as a tree of shapes and texts.
pub(super) fn tree(svg: &str) -> Tree {
    let options = Options {
        fontdb: font::database(),
        font_family: "DejaVu Sans".into(),
        ..Options::default()
    };
    Tree::from_str(svg, &options).expect("a drawing is sound SVG")
}

/// The picture with so many pixels across.
pub(super) fn png(svg: &str, width_px: u32) -> Vec<u8> {
    let tree = tree(svg);
    let scale = width_px as f32 / tree.size().width();
    let height_px = (tree.size().height() * scale).round() as u32;
    let mut pixmap = Pixmap::new(width_px, height_px).expect("both sides are within bounds");
    resvg::render(&tree, Transform::from_scale(scale, scale), &mut pixmap.as_mut());
    pixmap.encode_png().expect("a picture in memory can always be encoded")
}

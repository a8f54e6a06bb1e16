use rayon::prelude::*;

use crate::error::{Bounds, Result};

use super::{Canvas, Figure, Palette, Scene, raster, svg};

/// A finished picture.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Drawing {
    svg: String,
}

impl Drawing {
    /// Width of a PNG.
    pub const PNG_WIDTH_PX: Bounds = Bounds::new("width of a PNG", "px", 100.0, 8000.0);
    /// Width of a PNG unless asked otherwise: sharp on a projector, small in a repository.
    pub const DEFAULT_PNG_WIDTH_PX: u32 = 1600;

    pub(super) fn of(scene: &Scene, figure: &Figure, canvas: Canvas, palette: &Palette) -> Self {
        Self { svg: svg::document(scene, figure, canvas, palette) }
    }

    /// Several figures as SVG and PNG, side by side on all processors, in the order given.
    ///
    /// # Errors
    /// As [`Figure::scene`] and [`Self::png`]; of several, the first in order.
    pub fn all(
        figures: &[Figure],
        palette: &Palette,
        png_width_px: u32,
    ) -> Result<Vec<(Self, Vec<u8>)>> {
        Self::all_on(figures, Canvas::Slide, palette, png_width_px)
    }

    /// The same on a canvas of another shape.
    ///
    /// # Errors
    /// As [`Self::all`].
    pub fn all_on(
        figures: &[Figure],
        canvas: Canvas,
        palette: &Palette,
        png_width_px: u32,
    ) -> Result<Vec<(Self, Vec<u8>)>> {
        let drawn: Vec<Result<_>> = figures
            .par_iter()
            .map(|figure| {
                let drawing = figure.draw_on(canvas, palette)?;
                let png = drawing.png(png_width_px)?;
                Ok((drawing, png))
            })
            .collect();
        drawn.into_iter().collect()
    }

    /// The picture as SVG.
    #[must_use]
    pub fn svg(&self) -> &str {
        &self.svg
    }

    /// The same picture as a tree of shapes and texts in the embedded fonts, for other writers.
    #[must_use]
    pub fn tree(&self) -> resvg::usvg::Tree {
        raster::tree(&self.svg)
    }

    /// The same picture as PNG, with so many pixels across; system fonts play no part.
    ///
    /// # Errors
    /// `OutOfRange` when the width is out of bounds.
    pub fn png(&self, width_px: u32) -> Result<Vec<u8>> {
        Self::PNG_WIDTH_PX.check(f64::from(width_px))?;
        Ok(raster::png(&self.svg, width_px))
    }
}

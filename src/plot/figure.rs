use crate::error::Result;

use super::{Canvas, Drawing, KeyEntry, Palette, Panel, Scene};

/// A figure as data: what it says in words, and panels with their axes and contents.
#[derive(Clone, Debug, PartialEq)]
pub struct Figure {
    /// What is shown.
    pub title: String,
    /// The lesson, in one sentence.
    pub caption: String,
    /// Explanation of marks that cannot be labelled in place.
    pub key: Vec<KeyEntry>,
    /// The panels.
    pub panels: Vec<Panel>,
    /// Panels that magnify a part of another.
    pub zooms: Vec<Zoom>,
    /// Where the numbers come from.
    pub footnote: String,
}

/// A panel that magnifies a part of the vertical axis of another, to its left.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Zoom {
    /// The panel with the whole range, by its place among the figure's panels.
    pub whole: usize,
    /// The panel that magnifies.
    pub part: usize,
    /// Lower end of what is magnified, in the unit of both vertical axes.
    pub from: f64,
    /// Upper end.
    pub to: f64,
}

impl Figure {
    /// Width of the canvas.
    pub const WIDTH_PX: f64 = 1200.0;
    /// Height of the canvas.
    pub const HEIGHT_PX: f64 = 675.0;

    /// The figure on its canvas: every line and every text with its place.
    ///
    /// # Errors
    /// `Malformed` for a character the embedded fonts lack; `Inconsistent` for a number that is not
    /// finite.
    pub fn scene(&self) -> Result<Scene> {
        self.scene_on(Canvas::Slide)
    }

    /// The figure on a canvas of another shape.
    ///
    /// # Errors
    /// As [`Self::scene`].
    pub fn scene_on(&self, canvas: Canvas) -> Result<Scene> {
        super::layout::scene(self, canvas)
    }

    /// The finished picture.
    ///
    /// # Errors
    /// As [`Self::scene`].
    pub fn draw(&self, palette: &Palette) -> Result<Drawing> {
        self.draw_on(Canvas::Slide, palette)
    }

    /// The finished picture on a canvas of another shape.
    ///
    /// # Errors
    /// As [`Self::scene`].
    pub fn draw_on(&self, canvas: Canvas, palette: &Palette) -> Result<Drawing> {
        Ok(Drawing::of(&self.scene_on(canvas)?, self, canvas, palette))
    }

    /// The figure's data as a table: every curve, mark, level, area and label with its place in the
    /// units of the axes, one row for each point.
    ///
    /// The columns are the panel, the item's place in it, what kind of item and of which name it is,
    /// and one for each axis title ("time in ms"); rows of a panel fill the columns of its axes.
    #[must_use]
    pub fn csv(&self) -> String {
        super::table::csv(self)
    }

    /// The same figure with another caption; the panels make room for it.
    #[must_use]
    pub fn with_caption(mut self, caption: String) -> Self {
        let before_px = super::layout::content_top_px(&self.caption, &self.key);
        let after_px = super::layout::content_top_px(&caption, &self.key);
        self.caption = caption;
        super::canvas::stretch(&mut self.panels, after_px - before_px, 0.0);
        self
    }
}

use std::borrow::Cow;

use super::{Element, Figure, Panel, Scene};

/// The shape of the sheet a figure is laid out on.
///
/// A slide fills a 16:9 screen to its edges. Paper has the sides of the A sizes, lying (1 : √2), so that
/// a figure fills half an A4 page or a whole one; margins of 4.5 % of the width all round, which
/// printers need and holes for filing may take; and lines of 0.7 of their width, because paper shows
/// finer lines than a projector and wide ones waste toner. Type keeps its size: on A5 the smallest is
/// 2.5 mm high, on A4 3.6 mm.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Canvas {
    /// A screen, 16:9.
    #[default]
    Slide,
    /// Lying paper of the A sizes.
    Paper,
}

impl Canvas {
    const MARGIN_PX: f64 = 60.0;
    const PAPER_HEIGHT_PX: f64 = 934.0;

    /// Width and height.
    #[must_use]
    pub fn size_px(self) -> (f64, f64) {
        match self {
            Self::Slide => (Figure::WIDTH_PX, Figure::HEIGHT_PX),
            Self::Paper => {
                (2.0f64.mul_add(Self::MARGIN_PX, Figure::WIDTH_PX), Self::PAPER_HEIGHT_PX)
            }
        }
    }

    /// Height between the margins.
    pub(super) fn inner_height_px(self) -> f64 {
        match self {
            Self::Slide => Figure::HEIGHT_PX,
            Self::Paper => Self::PAPER_HEIGHT_PX - 2.0 * Self::MARGIN_PX,
        }
    }

    /// The figure with its panels as high as the canvas allows.
    pub(super) fn stretched(self, figure: &Figure) -> Cow<'_, Figure> {
        let more_px = self.inner_height_px() - Figure::HEIGHT_PX;
        if more_px <= 0.0 {
            return Cow::Borrowed(figure);
        }
        let mut taller = figure.clone();
        stretch(&mut taller.panels, 0.0, more_px);
        Cow::Owned(taller)
    }

    /// What is laid out between the margins, put on the sheet.
    pub(super) fn placed(self, mut scene: Scene) -> Scene {
        if self == Self::Slide {
            return scene;
        }
        let shift = |at_px: &mut (f64, f64)| {
            *at_px = (at_px.0 + Self::MARGIN_PX, at_px.1 + Self::MARGIN_PX);
        };
        for element in &mut scene.elements {
            match element {
                Element::Fill { points_px, .. } => points_px.iter_mut().for_each(shift),
                Element::Line { points_px, stroke } => {
                    points_px.iter_mut().for_each(shift);
                    stroke.width_px *= 0.7;
                }
                Element::Mark { at_px, .. } => shift(at_px),
                Element::Text(run) => shift(&mut run.at_px),
            }
        }
        scene
    }
}

/// Moves the upper end of all panels together by `down_px` and their lower end by `more_px`.
pub(super) fn stretch(panels: &mut [Panel], down_px: f64, more_px: f64) {
    let top_px = panels.iter().map(|panel| panel.area.top_px).fold(f64::INFINITY, f64::min);
    let bottom_px = panels.iter().map(|panel| panel.area.bottom_px).fold(0.0, f64::max);
    let factor = (bottom_px + more_px - top_px - down_px) / (bottom_px - top_px);
    for panel in panels {
        let moved = |y_px: f64| (y_px - top_px).mul_add(factor, top_px + down_px);
        panel.area.top_px = moved(panel.area.top_px);
        panel.area.bottom_px = moved(panel.area.bottom_px);
    }
}

use crate::plot::Weight;

use super::PaperSize;
use super::look::Look;

/// Sizes and distances on one size of paper.
#[derive(Clone, Copy, Debug)]
pub(super) struct Style {
    /// Type against that of the largest sheets.
    ratio: f64,
    /// The same for what is written on with a pencil, which never shrinks to fit.
    pencil_ratio: f64,
}

impl Style {
    pub(super) fn of(size: PaperSize) -> Self {
        Self { ratio: size.type_ratio(), pencil_ratio: size.type_ratio() }
    }

    /// The same with smaller type.
    pub(super) fn shrunk(self, ratio: f64) -> Self {
        Self { ratio: ratio * self.ratio, ..self }
    }

    fn regular(self, size_pt: f64) -> Look {
        Look { size_pt: self.ratio * size_pt, weight: Weight::Regular, is_muted: false }
    }

    pub(super) fn title(self) -> Look {
        self.regular(16.0).bold()
    }

    pub(super) fn heading(self) -> Look {
        self.regular(11.5).bold()
    }

    pub(super) fn subheading(self) -> Look {
        self.regular(9.5).bold()
    }

    pub(super) fn text(self) -> Look {
        self.regular(9.0)
    }

    pub(super) fn small(self) -> Look {
        self.regular(7.5).muted()
    }

    pub(super) fn running(self) -> Look {
        self.regular(7.5).muted()
    }

    /// Type of tables, from what is wanted down to what can still be read.
    pub(super) fn table_sizes_pt(self) -> impl Iterator<Item = f64> {
        [8.5, 8.0, 7.5, 7.0, 6.5, 6.0].into_iter().map(move |size_pt| self.ratio * size_pt)
    }

    pub(super) fn table(self, size_pt: f64) -> Look {
        Look { size_pt, weight: Weight::Regular, is_muted: false }
    }

    /// Height of what is written on with a pencil: 9 mm on a large sheet.
    pub(super) fn pencil_pt(self) -> f64 {
        self.pencil_ratio * 9.0 * PaperSize::PT_PER_MM
    }

    /// Between two blocks.
    pub(super) fn gap_pt(self) -> f64 {
        self.ratio * 6.0
    }
}

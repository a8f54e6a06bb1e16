use crate::plot::Weight;

use super::PaperSize;
use super::look::Look;

/// Sizes and distances on one size of paper.
#[derive(Clone, Copy, Debug)]
pub(super) struct Style {
    /// Type against that of the largest sheets.
    ratio: f64,
    /// The same for what is written on with a pencil, which shrinks last and least.
    pencil_ratio: f64,
    /// Whether it is a form for one sheet: no type below its text, less room between blocks.
    is_form: bool,
}

impl Style {
    pub(super) fn of(size: PaperSize) -> Self {
        let ratio = size.type_ratio();
        Self { ratio, pencil_ratio: ratio, is_form: false }
    }

    /// The styles of a form, from the largest type to the smallest that is read in a vault: 9 down to
    /// 8 points, whatever the paper; at last rows of 8 mm instead of 8.5.
    pub(super) fn forms() -> impl Iterator<Item = Self> {
        let sizes = [(9.0, 1.0), (8.75, 1.0), (8.5, 1.0), (8.25, 1.0), (8.0, 1.0), (8.0, 0.94)];
        sizes
            .map(|(size_pt, pencil_ratio)| Self {
                ratio: size_pt / 9.0,
                pencil_ratio,
                is_form: true,
            })
            .into_iter()
    }

    fn regular(self, size_pt: f64) -> Look {
        Look { size_pt: self.ratio * size_pt, weight: Weight::Regular, is_muted: false }
    }

    pub(super) fn title(self) -> Look {
        self.regular(if self.is_form { 12.0 } else { 16.0 }).bold()
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
        self.regular(if self.is_form { 9.0 } else { 7.5 }).muted()
    }

    pub(super) fn running(self) -> Look {
        self.regular(if self.is_form { 9.0 } else { 7.5 }).muted()
    }

    /// Type of tables, from what is wanted down to what can still be read.
    pub(super) fn table_sizes_pt(self) -> impl Iterator<Item = f64> {
        let sizes_pt: &[f64] = if self.is_form { &[9.0] } else { &[8.5, 8.0, 7.5, 7.0, 6.5, 6.0] };
        sizes_pt.iter().map(move |size_pt| self.ratio * size_pt)
    }

    pub(super) fn table(self, size_pt: f64) -> Look {
        Look { size_pt, weight: Weight::Regular, is_muted: false }
    }

    /// Height of what is written on with a pencil: 9 mm on a large sheet, 8.5 mm on a form.
    pub(super) fn pencil_pt(self) -> f64 {
        self.pencil_ratio * if self.is_form { 8.5 } else { 9.0 } * PaperSize::PT_PER_MM
    }

    /// Height of a line to write a few words on: 7.2 mm, 7.5 mm on a form.
    pub(super) fn pencil_line_pt(self) -> f64 {
        if self.is_form { 7.5 / 8.5 * self.pencil_pt() } else { 0.8 * self.pencil_pt() }
    }

    /// Height of what is signed on.
    pub(super) fn signature_pt(self) -> f64 {
        if self.is_form { self.pencil_pt() } else { 1.5 * self.pencil_pt() }
    }

    /// Below a check, over the size of its type.
    pub(super) fn check_gap_ratio(self) -> f64 {
        if self.is_form { 0.25 } else { 0.45 }
    }

    /// Type of what is to be answered on a line.
    pub(super) fn question(self) -> Look {
        if self.is_form { self.text() } else { self.small() }
    }

    /// Between two blocks.
    pub(super) fn gap_pt(self) -> f64 {
        self.ratio * if self.is_form { 3.2 } else { 6.0 }
    }
}

use super::Frame;

/// A size of paper, upright.
///
/// # Source
/// A4 and A5: ISO 216 (from memory); Letter: 8.5 by 11 inches, common knowledge.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum PaperSize {
    /// 210 mm by 297 mm.
    #[default]
    A4,
    /// 148 mm by 210 mm.
    A5,
    /// 215.9 mm by 279.4 mm.
    Letter,
}

impl PaperSize {
    /// Points in a millimetre.
    pub const PT_PER_MM: f64 = 72.0 / 25.4;
    /// Every size.
    pub const ALL: [Self; 3] = [Self::A4, Self::A5, Self::Letter];

    /// The name used in options and style sheets.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::A4 => "a4",
            Self::A5 => "a5",
            Self::Letter => "letter",
        }
    }

    fn size_mm(self) -> (f64, f64) {
        match self {
            Self::A4 => (210.0, 297.0),
            Self::A5 => (148.0, 210.0),
            Self::Letter => (215.9, 279.4),
        }
    }

    /// Its width.
    #[must_use]
    pub fn width_pt(self) -> f64 {
        self.size_mm().0 * Self::PT_PER_MM
    }

    /// Its height.
    #[must_use]
    pub fn height_pt(self) -> f64 {
        self.size_mm().1 * Self::PT_PER_MM
    }

    /// What is kept free at the left, where holes are punched.
    #[must_use]
    pub fn left_pt(self) -> f64 {
        Self::PT_PER_MM * if self == Self::A5 { 14.0 } else { 20.0 }
    }

    /// What is kept free at the right.
    #[must_use]
    pub fn right_pt(self) -> f64 {
        Self::PT_PER_MM * if self == Self::A5 { 9.0 } else { 14.0 }
    }

    /// Width of the text.
    #[must_use]
    pub fn text_width_pt(self) -> f64 {
        self.width_pt() - self.left_pt() - self.right_pt()
    }

    /// Where the text begins, below the running head.
    #[must_use]
    pub fn top_pt(self) -> f64 {
        Self::PT_PER_MM * if self == Self::A5 { 15.0 } else { 20.0 }
    }

    /// Where the text ends at the latest, above the foot.
    #[must_use]
    pub fn bottom_pt(self) -> f64 {
        self.height_pt() - Self::PT_PER_MM * if self == Self::A5 { 13.0 } else { 17.0 }
    }

    /// Where texts stand.
    pub(super) fn text_pt(self) -> Frame {
        let left_pt = self.left_pt();
        Frame::new(left_pt, self.top_pt(), left_pt + self.text_width_pt(), self.bottom_pt())
    }

    /// Where a form stands that should take one sheet: holes can be punched at the left, and common
    /// printers reach the rest.
    pub(super) fn form_pt(self) -> Frame {
        let mm = Self::PT_PER_MM;
        let (width_pt, height_pt) = (self.width_pt(), self.height_pt());
        Frame::new(self.left_pt(), 9.0 * mm, width_pt - 9.0 * mm, height_pt - 11.0 * mm)
    }

    /// How large type is against that of the largest sheets.
    pub(super) fn type_ratio(self) -> f64 {
        if self == Self::A5 { 0.86 } else { 1.0 }
    }
}

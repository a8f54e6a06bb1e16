use crate::plot::Weight;

/// Size, weight and grey of a text.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Look {
    /// Size of the type.
    pub size_pt: f64,
    /// Its weight.
    pub weight: Weight,
    /// Whether it stays in the back.
    pub is_muted: bool,
}

impl Look {
    /// From one baseline to the next.
    pub(super) fn pitch_pt(self) -> f64 {
        1.32 * self.size_pt
    }

    /// What the type takes above its baseline: capitals and digits.
    ///
    pub(super) fn above_pt(self) -> f64 {
        0.78 * self.size_pt
    }

    /// What it takes below.
    pub(super) fn below_pt(self) -> f64 {
        0.24 * self.size_pt
    }

    /// The same type with another weight.
    pub(super) fn bold(self) -> Self {
        Self { weight: Weight::Bold, ..self }
    }

    /// The same type in the back.
    pub(super) fn muted(self) -> Self {
        Self { is_muted: true, ..self }
    }
}

/// A true RMS current: the only kind of ampere that bands, lamps and set-points accept.
///
/// Made by measuring a [`Waveform`](super::Waveform), by a true-RMS reading, or by stating a
/// nominal; a number from an average- or peak-responding meter cannot become one without the
/// waveform it was read on.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct TrueRms {
    value_a: f64,
}

impl TrueRms {
    /// A true RMS current stated as such: a nominal, a band's edge, a target.
    #[must_use]
    pub const fn stated_a(value_a: f64) -> Self {
        Self { value_a }
    }

    /// The value in amperes.
    #[must_use]
    pub const fn a(self) -> f64 {
        self.value_a
    }

    /// This current as a ratio of another; `None` when the other is zero.
    #[must_use]
    pub fn ratio_to(self, other: Self) -> Option<f64> {
        (other.value_a.abs() > 0.0).then(|| self.value_a / other.value_a)
    }
}

use super::Cause;

/// The error of a reading, cause by cause.
///
/// # Formula
/// e_c = reading after cause c − reading before it; Σ e_c = shown − true
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Breakdown {
    true_a: f64,
    /// Reading after each cause, in the order of [`Cause::ALL`].
    after_a: [f64; Cause::ALL.len()],
}

impl Breakdown {
    pub(super) fn new(true_a: f64, after_a: [f64; Cause::ALL.len()]) -> Self {
        Self { true_a, after_a }
    }

    /// The true RMS current, mean included.
    #[must_use]
    pub fn true_a(&self) -> f64 {
        self.true_a
    }

    /// What the meter would show if its chain ended with this cause.
    #[must_use]
    pub fn after_a(&self, cause: Cause) -> f64 {
        self.after_a[cause as usize]
    }

    /// What one cause adds to the reading.
    #[must_use]
    pub fn error_a(&self, cause: Cause) -> f64 {
        let at = cause as usize;
        let before_a = if at == 0 { self.true_a } else { self.after_a[at - 1] };
        self.after_a[at] - before_a
    }

    /// What one cause adds, relative to the truth; `None` when the true current is zero.
    #[must_use]
    pub fn error_ratio(&self, cause: Cause) -> Option<f64> {
        (self.true_a > 0.0).then(|| self.error_a(cause) / self.true_a)
    }

    /// Every cause with what it adds, in the order of the chain.
    pub fn errors_a(&self) -> impl Iterator<Item = (Cause, f64)> + '_ {
        Cause::ALL.into_iter().map(|cause| (cause, self.error_a(cause)))
    }

    /// Shown minus true.
    #[must_use]
    pub fn total_error_a(&self) -> f64 {
        self.after_a(Cause::Resolution) - self.true_a
    }

    /// (Shown minus true) over true; `None` when the true current is zero.
    #[must_use]
    pub fn total_error_ratio(&self) -> Option<f64> {
        (self.true_a > 0.0).then(|| self.total_error_a() / self.true_a)
    }

    /// The cause that adds most, either sign; the first of equals.
    #[must_use]
    pub fn largest(&self) -> Cause {
        let mut largest = Cause::DetectorLaw;
        for (cause, error_a) in self.errors_a() {
            if error_a.abs() > self.error_a(largest).abs() {
                largest = cause;
            }
        }
        largest
    }
}

use super::Input;

/// One line of a budget: an input and how strongly the result follows it.
#[derive(Clone, Debug, PartialEq)]
pub struct Contribution {
    /// The input quantity.
    pub input: Input,
    /// Sensitivity coefficient c = ∂f/∂x, in the result's unit per the input's.
    pub sensitivity: f64,
}

impl Contribution {
    /// c·u, signed: what the input's standard uncertainty does to the result.
    #[must_use]
    pub fn part(&self) -> f64 {
        self.sensitivity * self.input.estimate.standard_uncertainty
    }
}

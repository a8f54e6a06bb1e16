/// How a standard uncertainty was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Evaluation {
    /// From the scatter of repeated readings.
    TypeA,
    /// By any other means: data sheet, certificate, experience.
    TypeB,
}

impl Evaluation {
    /// The letter printed in a budget.
    #[must_use]
    pub fn letter(self) -> &'static str {
        match self {
            Self::TypeA => "A",
            Self::TypeB => "B",
        }
    }
}

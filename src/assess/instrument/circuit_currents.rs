use super::StepCurrents;

/// A circuit by name, with the currents of its steps.
#[derive(Clone, Debug)]
pub struct CircuitCurrents {
    /// The user's name for it.
    pub name: String,
    /// Its steps, each in one connection.
    pub steps: Vec<StepCurrents>,
}

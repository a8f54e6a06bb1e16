/// The moment a protection acts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Trip {
    /// The instant, in the time of the run.
    pub time_s: f64,
    /// What acted.
    pub cause: TripCause,
    /// What the detector showed then.
    pub shown_a: f64,
}

/// Which part of a protection acts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TripCause {
    /// An overcurrent stage, by its place from 0.
    Stage(usize),
    /// The watch for an open loop.
    OpenCircuit,
}

impl TripCause {
    /// Plain words for tables.
    #[must_use]
    pub fn words(self) -> String {
        match self {
            Self::Stage(place) => format!("overcurrent stage {}", place + 1),
            Self::OpenCircuit => "open circuit".into(),
        }
    }
}

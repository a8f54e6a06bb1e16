/// How much a trainee is expected to know.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Level {
    /// Reads meters and bands, adds up a load.
    Trainee,
    /// Sets regulators: knows what a meter makes of a distorted current.
    Technician,
    /// Judges circuits, protections, uncertainties and histories.
    Engineer,
}

impl Level {
    /// Every level, the easiest first.
    pub const ALL: [Self; 3] = [Self::Trainee, Self::Technician, Self::Engineer];

    /// The name used in files and on the command line.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::Trainee => "trainee",
            Self::Technician => "technician",
            Self::Engineer => "engineer",
        }
    }

    /// The level with that name.
    #[must_use]
    pub fn from_key(key: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|level| level.key() == key)
    }
}

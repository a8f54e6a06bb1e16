/// For whom a training figure is meant.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Level {
    /// No mathematics beyond percent.
    First,
    /// For those who will hold the meter.
    Working,
    /// For those who choose meters, limits and intervals.
    Further,
}

impl Level {
    /// Its name in lists and files.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::First => "first",
            Self::Working => "working",
            Self::Further => "further",
        }
    }
}

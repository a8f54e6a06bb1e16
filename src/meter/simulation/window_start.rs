/// Where in the period an unsynchronised window begins.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum WindowStart {
    /// Anywhere: the reading is the middle of what many updates show, and the spread is told beside
    /// it.
    #[default]
    Anywhere,
    /// At a phase of the period, counted from the start of the waveform.
    At {
        /// The phase.
        phase_rad: f64,
    },
    /// Where the reading is lowest.
    Lowest,
    /// Where the reading is highest.
    Highest,
}

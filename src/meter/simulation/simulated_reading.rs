use crate::error::Note;
use crate::meter::{Range, Reading};

use super::{Breakdown, Display, ErrorLimits};

/// What a meter with a data sheet shows of a current, and why.
#[derive(Clone, Debug, PartialEq)]
pub struct SimulatedReading {
    /// What the display shows.
    pub display: Display,
    /// Its error, cause by cause; on overload that of the number it would have shown.
    pub breakdown: Breakdown,
    /// The range it chose.
    pub range: Range,
    /// Crest factor of what arrives at the range; `None` when nothing does.
    pub crest_factor: Option<f64>,
    /// Highest crest factor allowed at this reading on this range; `None` when not stated.
    pub allowed_crest_factor: Option<f64>,
    /// Share of the time that is clipped.
    pub clipped_share_ratio: f64,
    /// Lowest and highest reading an unsynchronised window can give, before the digits; `None` when
    /// the window is whole periods or the meter has none.
    pub window_span_a: Option<(f64, f64)>,
    /// How far the sheet lets the meter be off at this reading.
    pub limits: ErrorLimits,
    /// What makes the reading doubtful.
    pub notes: Vec<Note>,
}

impl SimulatedReading {
    /// The number on the display; `None` on overload.
    #[must_use]
    pub fn shown(&self) -> Option<Reading> {
        match self.display {
            Display::Number(reading) => Some(reading),
            Display::Overload => None,
        }
    }
}

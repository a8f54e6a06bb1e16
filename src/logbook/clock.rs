use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;

use crate::error::{Error, Result};

/// Where the time of an entry comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Clock {
    /// The clock of the machine.
    System,
    /// Always this time: for tests and demonstrations.
    Fixed(Timestamp),
}

impl Clock {
    /// Name of the variable that fixes the clock of the program, such as `2026-11-25T09:00:00Z`.
    pub const VARIABLE: &'static str = "LOOPCREST_CLOCK";

    /// The machine's clock, unless the variable [`Self::VARIABLE`] fixes it.
    ///
    /// # Errors
    /// `Malformed` when the variable holds no time.
    pub fn from_environment() -> Result<Self> {
        let Some(text) = std::env::var_os(Self::VARIABLE) else { return Ok(Self::System) };
        let text = text.to_string_lossy();
        text.parse().map(Self::Fixed).map_err(|_| {
            Error::malformed("a time such as 2026-11-25T09:00:00Z", format!("\"{text}\""))
                .with_context(Self::VARIABLE)
        })
    }

    /// The time now, in whole milliseconds.
    #[must_use]
    pub fn now(self) -> Timestamp {
        match self {
            Self::System => {
                let now = Timestamp::now();
                Timestamp::from_millisecond(now.as_millisecond()).unwrap_or(now)
            }
            Self::Fixed(time) => time,
        }
    }

    /// The day now: of the machine's own time zone; of UTC where the time is fixed.
    #[must_use]
    pub fn today(self) -> Date {
        self.day_of(self.now())
    }

    /// The day of a moment, as [`Self::today`] has it.
    #[must_use]
    pub fn day_of(self, at: Timestamp) -> Date {
        let zone = match self {
            Self::System => TimeZone::system(),
            Self::Fixed(_) => TimeZone::UTC,
        };
        at.to_zoned(zone).date()
    }
}

use crate::cited::Source;
use crate::error::{Bounds, Error, Result};

/// How soon and how late a protection may act, with the source of both times.
#[derive(Clone, Debug, PartialEq)]
pub struct TimeLimit {
    /// Shortest time allowed; `None` when there is none.
    pub shortest_s: Option<f64>,
    /// Longest time allowed; `None` when there is none.
    pub longest_s: Option<f64>,
    /// Where they come from.
    pub source: Source,
}

/// Where a time to trip lies against a [`TimeLimit`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LimitPlacement {
    /// Within both times, edges included.
    Inside,
    /// Before the shortest.
    TooEarly,
    /// After the longest.
    TooLate,
    /// It did not act while it was watched.
    DidNotAct,
}

impl TimeLimit {
    /// Either time.
    pub const TIME_S: Bounds = Bounds::new("time allowed to a protection", "s", 0.0, 600.0);

    /// Refuses times that no protection can meet.
    ///
    /// # Errors
    /// `OutOfRange` for a time out of bounds; `Inconsistent` when neither is given or the shortest is
    /// not below the longest.
    pub fn check(&self) -> Result<()> {
        for time_s in self.shortest_s.iter().chain(&self.longest_s) {
            Self::TIME_S.check(*time_s)?;
        }
        match (self.shortest_s, self.longest_s) {
            (None, None) => Err(Error::inconsistent("a limit needs a shortest or a longest time")),
            (Some(shortest_s), Some(longest_s)) if shortest_s >= longest_s => {
                Err(Error::inconsistent(format!(
                    "the shortest time {shortest_s} s is not below the longest {longest_s} s"
                ))
                .with_hint("are the two times swapped?"))
            }
            _ => Ok(()),
        }
    }

    /// Where a time lies; `None` stands for a protection that did not act.
    #[must_use]
    pub fn place(&self, time_s: Option<f64>) -> LimitPlacement {
        let Some(time_s) = time_s else { return LimitPlacement::DidNotAct };
        if self.shortest_s.is_some_and(|shortest_s| time_s < shortest_s) {
            LimitPlacement::TooEarly
        } else if self.longest_s.is_some_and(|longest_s| time_s > longest_s) {
            LimitPlacement::TooLate
        } else {
            LimitPlacement::Inside
        }
    }
}

impl LimitPlacement {
    /// The name used in files.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::Inside => "inside",
            Self::TooEarly => "too-early",
            Self::TooLate => "too-late",
            Self::DidNotAct => "did-not-act",
        }
    }

    /// Plain words for tables.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Inside => "inside",
            Self::TooEarly => "TOO EARLY",
            Self::TooLate => "TOO LATE",
            Self::DidNotAct => "DID NOT ACT",
        }
    }
}

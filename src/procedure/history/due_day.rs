use jiff::Span;
use jiff::civil::Date;

use crate::error::{Error, Result};

use super::{DueCause, StepHistory};

/// The next day on which a regulator is due, and why.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DueDay {
    /// The day; `None` for one that is due at once.
    pub day: Option<Date>,
    /// Why.
    pub cause: DueCause,
    /// Day of the last complete visit.
    pub last_done: Option<Date>,
}

impl DueDay {
    /// From the day of the last complete visit and the histories of the steps: the interval after
    /// that day, or earlier where the drift says so.
    ///
    /// A drift says so only where it is told from none; a step left doubtful says so at once.
    ///
    /// # Errors
    /// `Inconsistent` for an interval that leads out of the calendar; as [`StepHistory::outlook`].
    pub fn of(
        last_done: Option<Date>,
        histories: &[StepHistory],
        interval: Span,
        conformance_probability: f64,
    ) -> Result<Self> {
        let Some(last) = last_done else {
            return Ok(Self { day: None, cause: DueCause::NeverDone, last_done: None });
        };
        let day = last.checked_add(interval).map_err(|_| {
            Error::inconsistent(format!("{interval:#} after {last} is out of the calendar"))
        })?;
        let mut due = Self { day: Some(day), cause: DueCause::Interval, last_done: Some(last) };
        for history in histories {
            let Some(outlook) = history.outlook(conformance_probability)? else { continue };
            let (step, output) = (history.step, history.output);
            if outlook.doubtful_already {
                return Ok(Self {
                    day: None,
                    cause: DueCause::LeftDoubtful { step, output },
                    ..due
                });
            }
            let earlier = outlook.doubtful_on.filter(|_| outlook.is_drifting());
            if let Some(earlier) = earlier.filter(|earlier| due.day.is_some_and(|d| *earlier < d)) {
                due.day = Some(earlier);
                due.cause = DueCause::Drift { step, output };
            }
        }
        Ok(due)
    }

    /// Whether it is due on a day.
    #[must_use]
    pub fn is_due(&self, today: Date) -> bool {
        self.day.is_none_or(|day| day <= today)
    }
}

use jiff::Span;
use jiff::civil::Date;

use crate::error::{Error, Result};

use super::{DueCause, LastDone, StepHistory};

/// The next day on which a regulator is due, and why.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DueDay {
    /// The day; `None` for one that is due at once.
    pub day: Option<Date>,
    /// Why.
    pub cause: DueCause,
    /// Day of the last complete visit.
    pub last_done: Option<Date>,
    /// Meters that have come into doubt for the readings it rests on.
    pub doubted_meters: Vec<String>,
}

impl DueDay {
    /// From what the last complete visit left behind and the histories of the steps: the interval after
    /// its day, the day entered when it was closed or the day the drift says, whichever comes first.
    ///
    /// A drift says so only where it is told from none. A step that stands outside its band, or where it
    /// was not accepted, says so at once, and so does a meter found wrong where a reading that counts was
    /// taken for right.
    ///
    /// # Errors
    /// `Inconsistent` for an interval that leads out of the calendar; as [`StepHistory::outlook`].
    pub fn of(
        last_done: Option<&LastDone>,
        histories: &[StepHistory],
        interval: Span,
        conformance_probability: f64,
    ) -> Result<Self> {
        let Some(last) = last_done else {
            return Ok(Self::at_once(DueCause::NeverDone, None));
        };
        if let Some(left) = last.left_wrong() {
            let (step, output) = (left.step, left.output);
            let cause = if left.is_outside {
                DueCause::LeftOutside { step, output, shown: left.shown.clone() }
            } else {
                DueCause::LeftDoubtful { step, output }
            };
            return Ok(Self::at_once(cause, last_done));
        }
        if let Some(meter) = &last.wrong_meter {
            return Ok(Self::at_once(DueCause::MeterWrong { meter: meter.clone() }, last_done));
        }
        let day = last.day.checked_add(interval).map_err(|_| {
            Error::inconsistent(format!("{interval:#} after {} is out of the calendar", last.day))
        })?;
        let (mut day, mut cause) = match last.next_due.filter(|entered| *entered < day) {
            Some(entered) => (entered, DueCause::Entered { visit: last.visit }),
            None => (day, DueCause::Interval),
        };
        for history in histories {
            let Some(outlook) = history.outlook(conformance_probability)? else { continue };
            let (step, output) = (history.step, history.output);
            if outlook.doubtful_already {
                return Ok(Self::at_once(DueCause::LeftDoubtful { step, output }, last_done));
            }
            let earlier = outlook.doubtful_on.filter(|_| outlook.is_drifting());
            if let Some(earlier) = earlier.filter(|earlier| *earlier < day) {
                (day, cause) = (earlier, DueCause::Drift { step, output });
            }
        }
        Ok(Self { day: Some(day), cause, ..Self::at_once(DueCause::Interval, last_done) })
    }

    fn at_once(cause: DueCause, last_done: Option<&LastDone>) -> Self {
        Self {
            day: None,
            cause,
            last_done: last_done.map(|last| last.day),
            doubted_meters: last_done.map_or_else(Vec::new, |last| last.doubted_meters.clone()),
        }
    }

    /// Whether it is due on a day.
    #[must_use]
    pub fn is_due(&self, today: Date) -> bool {
        self.day.is_none_or(|day| day <= today)
    }
}

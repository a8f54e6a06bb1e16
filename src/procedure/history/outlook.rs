use jiff::ToSpan;
use jiff::civil::Date;

use crate::error::{Bounds, Result};
use crate::uncertainty::decision::{Knowledge, Limits};
use crate::uncertainty::{Estimate, Expanded};

use super::StepHistory;

/// When a step will leave its band if it goes on drifting as it did.
#[derive(Clone, Debug, PartialEq)]
pub struct Outlook {
    /// Drift a year, with its expanded uncertainty at the probability asked for.
    pub drift_a_per_year: f64,
    /// Expanded uncertainty of that.
    pub drift_expanded: Expanded,
    /// First day on which the best estimate lies outside; `None` within [`Self::HORIZON_YEARS`].
    pub leaves_on: Option<Date>,
    /// First day on which the true current lies in the band with less than the probability asked
    /// for; `None` within the same time.
    pub doubtful_on: Option<Date>,
    /// Whether it was doubtful at the last reading already.
    pub doubtful_already: bool,
}

/// Days gone ahead at once.
const STRIDE_DAYS: i64 = 64;

impl Outlook {
    /// How far ahead is looked. Our own choice.
    pub const HORIZON_YEARS: i32 = 20;
    /// Probability with which the true current must lie in its band.
    pub const PROBABILITY: Bounds = Bounds::new("conformance probability", "", 0.5, 0.9999);
    /// Days in a year on average.
    const YEAR_DAYS: f64 = 365.25;

    /// From a history; `None` where no drift is known.
    ///
    /// # Errors
    /// `OutOfRange` for a probability out of [`Self::PROBABILITY`]; as [`StepHistory::expected`].
    pub fn of(history: &StepHistory, conformance_probability: f64) -> Result<Option<Self>> {
        Self::PROBABILITY.check(conformance_probability)?;
        let Some(drift) = &history.drift else { return Ok(None) };
        let band = Limits::between(history.band_a.0, history.band_a.1)?;
        let slope = &drift.slope;
        let yearly = Estimate::new(
            slope.value * Self::YEAR_DAYS,
            slope.standard_uncertainty * Self::YEAR_DAYS,
            slope.degrees_of_freedom,
        )?;
        let doubtful = |known: &Estimate| {
            Knowledge::from_estimate(known).conformance_probability(&band) < conformance_probability
        };
        let start = history.last().day;
        let end = start.saturating_add(Self::HORIZON_YEARS.years());
        let leaves = |known: &Estimate| !band.contain(known.value);
        let first = |is_so: &dyn Fn(&Estimate) -> bool| {
            first_day(start, end, |day| {
                Ok(history.expected(day)?.is_some_and(|known| is_so(&known)))
            })
        };
        let (leaves_on, doubtful_on) = (first(&leaves)?, first(&doubtful)?);
        let doubtful_already = doubtful_on == Some(start);
        Ok(Some(Self {
            drift_a_per_year: yearly.value,
            drift_expanded: yearly.expanded(conformance_probability)?,
            leaves_on,
            doubtful_on,
            doubtful_already,
        }))
    }

    /// Whether the drift is told from none at the probability asked for.
    #[must_use]
    pub fn is_drifting(&self) -> bool {
        self.drift_a_per_year.abs() > self.drift_expanded.half_width
    }
}

/// The first day on which something is so that stays so once it has become so.
///
/// What is expected moves along a line while its uncertainty grows ever faster, and a band has no gap: what
/// was inside with enough probability and is so no more does not come back. So long strides are taken, and
/// days only within the last of them.
fn first_day(
    start: Date,
    end: Date,
    mut is_so: impl FnMut(Date) -> Result<bool>,
) -> Result<Option<Date>> {
    if is_so(start)? {
        return Ok(Some(start));
    }
    let mut before = start;
    while before < end {
        let far = before.saturating_add(STRIDE_DAYS.days()).min(end);
        if is_so(far)? {
            let mut day = before;
            while day < far {
                day = day.saturating_add(1.day());
                if is_so(day)? {
                    return Ok(Some(day));
                }
            }
        }
        before = far;
    }
    Ok(None)
}

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
        let (mut leaves_on, mut doubtful_on, mut doubtful_already) = (None, None, false);
        let mut day = start;
        let end = start.saturating_add(Self::HORIZON_YEARS.years());
        while day <= end && (leaves_on.is_none() || doubtful_on.is_none()) {
            let Some(known) = history.expected(day)? else { break };
            if leaves_on.is_none() && !band.contain(known.value) {
                leaves_on = Some(day);
            }
            if doubtful_on.is_none() && doubtful(&known) {
                doubtful_on = Some(day);
                doubtful_already = day == start;
            }
            let Ok(next) = day.tomorrow() else { break };
            day = next;
        }
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

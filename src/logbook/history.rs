use jiff::Span;
use jiff::civil::Date;

use crate::error::Result;
use crate::procedure::VisitState;
use crate::procedure::entry::{MeterDoubt, Moment, Output};
use crate::procedure::history::{AffectedReading, DueDay, StepHistory, StepPoint};

use super::{Logbook, TrendPoint};

impl Logbook {
    /// The readings of one step of a regulator over the years, with their drift; `None` where none
    /// was judged.
    ///
    /// # Errors
    /// As [`Self::trend`] and [`StepHistory::from_points`].
    pub fn step_history(
        &self,
        regulator: &str,
        step: u32,
        output: Output,
    ) -> Result<Option<StepHistory>> {
        let mut points = Vec::new();
        for moment in [Moment::AsFound, Moment::AsLeft] {
            let trend = self.trend(regulator, step, output, moment)?;
            points.extend(trend.into_iter().filter_map(|point| judged(point, moment)));
        }
        StepHistory::from_points(step, output, points)
    }

    /// Day of the last visit to a regulator that was gone through to its end.
    ///
    /// # Errors
    /// As [`Self::visits_of`].
    pub fn last_done(&self, regulator: &str) -> Result<Option<Date>> {
        let visits = self.visits_of(regulator)?;
        let done = visits.iter().filter(|visit| visit.state == VisitState::Complete);
        Ok(done.map(|visit| visit.day).max())
    }

    /// When a regulator is due, by an interval or by the drift of the steps named.
    ///
    /// # Errors
    /// As [`Self::step_history`] and [`DueDay::of`].
    pub fn due_day(
        &self,
        regulator: &str,
        steps: &[u32],
        interval: Span,
        conformance_probability: f64,
    ) -> Result<DueDay> {
        let mut histories = Vec::new();
        for step in steps {
            for output in [Output::Shorted, Output::Field] {
                histories.extend(self.step_history(regulator, *step, output)?);
            }
        }
        DueDay::of(self.last_done(regulator)?, &histories, interval, conformance_probability)
    }

    /// Every reading that a doubt about a meter touches.
    ///
    /// # Errors
    /// As [`Self::visits_with_meter`], [`Self::visit`] and [`AffectedReading::all`].
    pub fn affected_by(&self, doubt: &MeterDoubt) -> Result<Vec<AffectedReading>> {
        let rows = self.visits_with_meter(&doubt.meter, doubt.from, doubt.until)?;
        let visits: Vec<_> =
            rows.iter().map(|row| self.visit(row.number)).collect::<Result<_>>()?;
        AffectedReading::all(&visits, doubt)
    }
}

fn judged(point: TrendPoint, moment: Moment) -> Option<StepPoint> {
    Some(StepPoint {
        visit: point.visit,
        day: point.day,
        moment,
        meter: point.meter,
        shown_a: point.shown_a,
        true_rms_a: point.true_rms_a?,
        standard_uncertainty_a: point.standard_uncertainty_a?,
        band_a: point.low_a.zip(point.high_a)?,
    })
}

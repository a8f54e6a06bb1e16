use jiff::Span;

use crate::error::Result;
use crate::procedure::entry::{MeterDoubt, Moment, Output};
use crate::procedure::history::{AffectedReading, DueDay, LastDone, StepHistory, StepPoint};
use crate::procedure::{Visit, VisitState};

use super::{Logbook, TrendPoint, VisitRow};

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

    /// What the closed visits to a regulator leave behind; `None` where none was gone through to its
    /// end.
    ///
    /// # Errors
    /// As [`Self::visits_of`], [`Self::visit`], [`Self::doubts`] and [`LastDone::of`].
    pub fn last_done(&self, regulator: &str) -> Result<Option<LastDone>> {
        let rows = self.visits_of(regulator)?;
        let place = |row: &VisitRow| (row.day, row.number);
        let complete = rows.iter().filter(|row| row.state == VisitState::Complete);
        let Some(last) = complete.map(place).max() else { return Ok(None) };
        let since = rows.iter().filter(|row| place(row) >= last && row.state != VisitState::Open);
        let visits: Vec<Visit> = since.map(|row| self.visit(row.number)).collect::<Result<_>>()?;
        let mut doubts = Vec::new();
        let mut meters: Vec<&str> = visits.iter().map(|v| v.opening().meter.as_str()).collect();
        meters.sort_unstable();
        meters.dedup();
        for meter in meters {
            doubts.extend(self.doubts(meter)?.into_iter().map(|filed| filed.card));
        }
        LastDone::of(&visits, &doubts)
    }

    /// When a regulator is due: by an interval, by the day entered when its last visit was closed, by how
    /// its steps were left, or by the drift of the steps named.
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
        let last_done = self.last_done(regulator)?;
        DueDay::of(last_done.as_ref(), &histories, interval, conformance_probability)
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

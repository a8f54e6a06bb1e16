use jiff::civil::Date;

use crate::error::Result;
use crate::procedure::entry::{MeterDoubt, Moment, Output};
use crate::procedure::{Visit, VisitState};

use super::{AffectedReading, LeftStep};

/// What a regulator's closed visits leave behind: when the last complete one was, until when it counts,
/// how its steps stand, and whether its meter has come into doubt since.
#[derive(Clone, Debug, PartialEq)]
pub struct LastDone {
    /// Number of the last complete visit.
    pub visit: u64,
    /// Its day.
    pub day: Date,
    /// The next due day it was closed with.
    pub next_due: Option<Date>,
    /// Every step as it stands, by the last closed visit that read it.
    pub left: Vec<LeftStep>,
    /// The meter of a reading that stands, where a doubt says it was taken for right and was not.
    pub wrong_meter: Option<String>,
    /// The meters in doubt for the days of those visits, whether that changes a result or not.
    pub doubted_meters: Vec<String>,
}

impl LastDone {
    /// From visits to one regulator in any order: the last complete one, and what was closed as broken
    /// off after it. `None` where none is complete.
    ///
    /// # Errors
    /// As [`AffectedReading::all`].
    pub fn of(visits: &[Visit], doubts: &[MeterDoubt]) -> Result<Option<Self>> {
        let place = |visit: &Visit| (visit.opening().day, visit.number());
        let complete = visits.iter().filter(|visit| visit.state() == VisitState::Complete);
        let Some(last) = complete.max_by_key(|visit| place(visit)) else { return Ok(None) };
        let mut closed: Vec<&Visit> = visits
            .iter()
            .filter(|visit| visit.state() != VisitState::Open && place(visit) >= place(last))
            .collect();
        closed.sort_by_key(|visit| place(visit));
        let mut done = Self {
            visit: last.number(),
            day: last.opening().day,
            next_due: last.closing().and_then(|closing| closing.next_due),
            left: Vec::new(),
            wrong_meter: None,
            doubted_meters: Vec::new(),
        };
        for visit in closed {
            for step in LeftStep::all(visit) {
                done.left.retain(|old| (old.step, old.output) != (step.step, step.output));
                done.left.push(step);
            }
            done.doubt(visit, doubts)?;
        }
        done.left.sort_by_key(|left| (left.output, std::cmp::Reverse(left.step)));
        Ok(Some(done))
    }

    /// The first step that stands where it must not: outside its band before what is only not proved.
    #[must_use]
    pub fn left_wrong(&self) -> Option<&LeftStep> {
        let mut wrong = self.left.iter().filter(|left| !left.is_accepted);
        wrong.clone().find(|left| left.is_outside).or_else(|| wrong.next())
    }

    /// Whether a step with this output stands outside its band.
    #[must_use]
    pub fn is_outside(&self, step: u32, output: Output) -> bool {
        let mut found = self.left.iter().filter(|left| (left.step, left.output) == (step, output));
        found.any(|left| left.is_outside)
    }

    fn doubt(&mut self, visit: &Visit, doubts: &[MeterDoubt]) -> Result<()> {
        for doubt in doubts {
            let affected = AffectedReading::all(std::slice::from_ref(visit), doubt)?;
            if affected.is_empty() {
                continue;
            }
            if !self.doubted_meters.contains(&doubt.meter) {
                self.doubted_meters.push(doubt.meter.clone());
            }
            // A reading as found was not what the step was left at.
            let stands = |reading: &AffectedReading| {
                visit.reading(reading.step, Moment::AsLeft, reading.output).is_none()
                    || reading.moment == Moment::AsLeft
            };
            if affected.iter().any(|one| stands(one) && one.was_wrongly_accepted() == Some(true)) {
                self.wrong_meter = Some(doubt.meter.clone());
            }
        }
        Ok(())
    }
}

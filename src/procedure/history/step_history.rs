use jiff::civil::Date;

use crate::error::Result;
use crate::procedure::Visit;
use crate::procedure::entry::{Moment, Output};
use crate::uncertainty::decision::{Knowledge, Limits};
use crate::uncertainty::{DriftLine, DriftReading, Estimate};

use super::{Outlook, StepPoint};

/// The readings of one step with one kind of output over the years.
#[derive(Clone, Debug, PartialEq)]
pub struct StepHistory {
    /// Number of the brightness step.
    pub step: u32,
    /// What the output was connected to.
    pub output: Output,
    /// Lower and upper limit of the band as last judged.
    pub band_a: (f64, f64),
    /// The readings, oldest first.
    pub points: Vec<StepPoint>,
    /// The drift through them; `None` where no level was read twice.
    pub drift: Option<DriftLine>,
}

impl StepHistory {
    /// Standard uncertainty of a reading apart from what every reading with the same meter has in
    /// common, as a ratio of the current: what repeated readings of a steady current scatter by. Our
    /// own choice, no source; scatter beyond it is taken from the readings themselves.
    pub const SCATTER_RATIO: f64 = 0.001;

    /// The history of a step from visits of one regulator; readings that were never judged are left
    /// out, and `None` comes back when nothing is left.
    ///
    /// # Errors
    /// As [`DriftLine::through`].
    pub fn of(visits: &[Visit], step: u32, output: Output) -> Result<Option<Self>> {
        let mut points: Vec<StepPoint> = Vec::new();
        for visit in visits {
            for moment in [Moment::AsFound, Moment::AsLeft] {
                let Some(reading) = visit.reading(step, moment, output) else { continue };
                let Some(judged) = &reading.judgement else { continue };
                let (Some(true_rms_a), Some(standard_uncertainty_a)) =
                    (judged.true_rms_a, judged.standard_uncertainty_a)
                else {
                    continue;
                };
                points.push(StepPoint {
                    visit: visit.number(),
                    day: visit.opening().day,
                    moment,
                    meter: visit.opening().meter.clone(),
                    shown_a: reading.shown_a,
                    true_rms_a,
                    standard_uncertainty_a,
                    band_a: (judged.low_a, judged.high_a),
                });
            }
        }
        Self::from_points(step, output, points)
    }

    /// The history of a step from its readings in any order; `None` without any.
    ///
    /// # Errors
    /// As [`DriftLine::through`].
    pub fn from_points(
        step: u32,
        output: Output,
        mut points: Vec<StepPoint>,
    ) -> Result<Option<Self>> {
        points.sort_by_key(|point| (point.day, point.visit, point.moment));
        // Left as it was found: the same reading, told twice.
        points.dedup_by(|left, found| {
            left.visit == found.visit
                && left.moment != found.moment
                && same(left.shown_a, found.shown_a)
        });
        let Some((first, last)) = points.first().zip(points.last()) else { return Ok(None) };
        let (start, band_a) = (first.day, last.band_a);
        let readings: Vec<DriftReading> = points
            .iter()
            .map(|point| DriftReading {
                time: days_between(start, point.day),
                value: point.true_rms_a,
                standard_uncertainty: Self::SCATTER_RATIO * point.true_rms_a.abs().max(1e-3),
                begins_level: point.begins_level(),
            })
            .collect();
        let drift = DriftLine::through(&readings)?;
        Ok(Some(Self { step, output, band_a, points, drift }))
    }

    /// The last reading.
    #[must_use]
    pub fn last(&self) -> &StepPoint {
        self.points.last().expect("a history has at least one point")
    }

    /// The true current to be expected on a day, had nobody set anything since the last reading;
    /// `None` where no drift is known.
    ///
    /// # Errors
    /// As [`DriftLine::at`].
    pub fn expected(&self, day: Date) -> Result<Option<Estimate>> {
        let Some(drift) = &self.drift else { return Ok(None) };
        let time = days_between(self.points[0].day, day);
        drift.at(time, self.last().standard_uncertainty_a).map(Some)
    }

    /// Whether the last reading's best estimate lies outside the band, whatever is known of a drift.
    #[must_use]
    pub fn is_outside_now(&self) -> bool {
        let last = self.last().true_rms_a;
        last < self.band_a.0 || last > self.band_a.1
    }

    /// Whether the last reading's true current lies in the band with less than a probability.
    ///
    /// # Errors
    /// `OutOfRange` for a probability out of [`Outlook::PROBABILITY`]; as [`Limits::between`].
    pub fn is_doubtful_now(&self, conformance_probability: f64) -> Result<bool> {
        Outlook::PROBABILITY.check(conformance_probability)?;
        let band = Limits::between(self.band_a.0, self.band_a.1)?;
        let last = self.last();
        let known = Estimate::new(last.true_rms_a, last.standard_uncertainty_a, f64::INFINITY)?;
        let inside = Knowledge::from_estimate(&known).conformance_probability(&band);
        Ok(inside < conformance_probability)
    }

    /// When the step will leave its band.
    ///
    /// # Errors
    /// As [`Outlook::of`].
    pub fn outlook(&self, conformance_probability: f64) -> Result<Option<Outlook>> {
        Outlook::of(self, conformance_probability)
    }
}

/// Whether two displays show the same.
fn same(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * a.abs().max(b.abs())
}

/// Days from one day to another.
pub(super) fn days_between(from: Date, to: Date) -> f64 {
    (to - from).get_days().into()
}

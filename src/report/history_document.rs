use jiff::civil::Date;
use schemars::JsonSchema;
use serde::Serialize;

use crate::error::Result;
use crate::procedure::history::{DueCause, DueDay, StepHistory, StepPoint};

use super::Document;
use super::survey_document::program;

/// How the steps of a regulator drift, and when it is due.
#[derive(Debug, Serialize, JsonSchema)]
pub struct HistoryDocument {
    /// Format number.
    pub format: u32,
    /// Program and version that wrote it.
    pub program: String,
    /// The regulator.
    pub regulator: String,
    /// Probability with which the true current must lie in its band.
    pub conformance_probability: f64,
    /// Step by step, output shorted before the field connected.
    pub steps: Vec<StepHistoryPart>,
    /// When it is due.
    pub due: DuePart,
}

/// One step with one kind of output over the years.
#[derive(Debug, Serialize, JsonSchema)]
pub struct StepHistoryPart {
    /// Number of the step.
    pub step: u32,
    /// `shorted` or `field`.
    pub output: &'static str,
    /// Lower limit of the band as last judged.
    pub low_a: f64,
    /// Upper limit of the band.
    pub high_a: f64,
    /// The readings, oldest first.
    pub readings: Vec<StepPointPart>,
    /// Drift a year; null where no level was read twice.
    pub drift_a_per_year: Option<f64>,
    /// Expanded uncertainty of that.
    pub drift_expanded_a_per_year: Option<f64>,
    /// Coverage factor of that.
    pub drift_coverage_factor: Option<f64>,
    /// How much wider the readings scatter than is taken for repeated readings; null without a drift.
    pub scatter_ratio: Option<f64>,
    /// Whether the drift is told from none.
    pub is_drifting: Option<bool>,
    /// Day on which the best estimate leaves the band; null when not within twenty years.
    pub leaves_on: Option<String>,
    /// Day from which the true current lies in the band with less than the probability.
    pub doubtful_on: Option<String>,
    /// Whether the best estimate of the last reading lies outside the band.
    pub is_outside_now: bool,
    /// Whether the true current lay in the band with less than the probability at the last reading.
    pub is_doubtful_now: bool,
}

/// One reading among those of other years.
#[derive(Debug, Serialize, JsonSchema)]
pub struct StepPointPart {
    /// The visit.
    pub visit: u64,
    /// Its day.
    pub day: String,
    /// `as-found` or `as-left`.
    pub moment: &'static str,
    /// The meter.
    pub meter: String,
    /// The number on the display.
    pub shown_a: f64,
    /// The true current it was judged to mean, RMS.
    pub true_rms_a: f64,
    /// Standard uncertainty of that.
    pub standard_uncertainty_a: f64,
}

/// When a regulator is due.
#[derive(Debug, Serialize, JsonSchema)]
pub struct DuePart {
    /// The regulator.
    pub regulator: String,
    /// The day; null for one that is due at once.
    pub day: Option<String>,
    /// `interval`, `entered`, `drift`, `left-outside`, `left-doubtful`, `meter-wrong` or `never-done`.
    pub cause: &'static str,
    /// The step that says so.
    pub step: Option<u32>,
    /// Its output, `shorted` or `field`.
    pub output: Option<&'static str>,
    /// Day of the last complete visit.
    pub last_done: Option<String>,
    /// Meters that have come into doubt for the readings it rests on.
    pub doubted_meters: Vec<String>,
    /// Whether it is due on the day asked about.
    pub is_due: bool,
    /// The same in one sentence.
    pub words: String,
}

impl HistoryDocument {
    /// From the histories of a regulator.
    ///
    /// # Errors
    /// As [`StepHistory::outlook`].
    pub fn new(
        regulator: &str,
        histories: &[StepHistory],
        due: &DueDay,
        today: Date,
        conformance_probability: f64,
    ) -> Result<Self> {
        Ok(Self {
            format: Document::FORMAT,
            program: program(),
            regulator: regulator.to_owned(),
            conformance_probability,
            steps: histories
                .iter()
                .map(|history| StepHistoryPart::new(history, conformance_probability))
                .collect::<Result<_>>()?,
            due: DuePart::new(regulator, due, today),
        })
    }
}

impl StepHistoryPart {
    fn new(history: &StepHistory, conformance_probability: f64) -> Result<Self> {
        let outlook = history.outlook(conformance_probability)?;
        let outlook = outlook.as_ref();
        Ok(Self {
            step: history.step,
            output: history.output.key(),
            low_a: history.band_a.0,
            high_a: history.band_a.1,
            readings: history.points.iter().map(StepPointPart::new).collect(),
            drift_a_per_year: outlook.map(|outlook| outlook.drift_a_per_year),
            drift_expanded_a_per_year: outlook.map(|outlook| outlook.drift_expanded.half_width),
            drift_coverage_factor: outlook.map(|outlook| outlook.drift_expanded.coverage_factor),
            scatter_ratio: history.drift.as_ref().map(|drift| drift.scatter_ratio),
            is_drifting: outlook.map(|outlook| outlook.is_drifting()),
            leaves_on: outlook.and_then(|outlook| outlook.leaves_on).map(|day| day.to_string()),
            doubtful_on: outlook.and_then(|outlook| outlook.doubtful_on).map(|day| day.to_string()),
            is_outside_now: history.is_outside_now(),
            is_doubtful_now: history.is_doubtful_now(conformance_probability)?,
        })
    }
}

impl StepPointPart {
    fn new(point: &StepPoint) -> Self {
        Self {
            visit: point.visit,
            day: point.day.to_string(),
            moment: point.moment.key(),
            meter: point.meter.clone(),
            shown_a: point.shown_a,
            true_rms_a: point.true_rms_a,
            standard_uncertainty_a: point.standard_uncertainty_a,
        }
    }
}

impl DuePart {
    /// When a regulator is due, looked at on a day.
    #[must_use]
    pub fn new(regulator: &str, due: &DueDay, today: Date) -> Self {
        let (cause, place) = match &due.cause {
            DueCause::Interval => ("interval", None),
            DueCause::Entered { .. } => ("entered", None),
            DueCause::Drift { step, output } => ("drift", Some((*step, *output))),
            DueCause::LeftOutside { step, output, .. } => ("left-outside", Some((*step, *output))),
            DueCause::LeftDoubtful { step, output } => ("left-doubtful", Some((*step, *output))),
            DueCause::MeterWrong { .. } => ("meter-wrong", None),
            DueCause::NeverDone => ("never-done", None),
        };
        let day = due.day.map_or_else(|| "at once".to_owned(), |day| day.to_string());
        let words = match &due.cause {
            DueCause::Interval => format!("due {day}, by the interval"),
            DueCause::Entered { visit } => {
                format!("due {day}, as entered when visit {visit} was closed")
            }
            DueCause::Drift { step, output } => {
                format!("due {day}, by the drift of step {step}, {}", output.words())
            }
            DueCause::LeftOutside { step, output, shown } => format!(
                "due at once: step {step}, {}, was left outside its band ({shown})",
                output.words()
            ),
            DueCause::LeftDoubtful { step, output } => {
                format!("due at once: step {step}, {}, was left doubtful", output.words())
            }
            DueCause::MeterWrong { meter } => format!(
                "due at once: {meter} was found wrong, and a reading taken for right was not"
            ),
            DueCause::NeverDone => "due at once: never gone through to the end".to_owned(),
        };
        let words = match due.doubted_meters.as_slice() {
            [] => words,
            meters => format!("IN DOUBT ({}): {words}", meters.join(", ")),
        };
        Self {
            regulator: regulator.to_owned(),
            day: due.day.map(|day| day.to_string()),
            cause,
            step: place.map(|(step, _)| step),
            output: place.map(|(_, output)| output.key()),
            last_done: due.last_done.map(|day| day.to_string()),
            doubted_meters: due.doubted_meters.clone(),
            is_due: due.is_due(today),
            words,
        }
    }
}

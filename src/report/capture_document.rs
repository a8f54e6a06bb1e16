use std::path::Path;

use schemars::JsonSchema;
use serde::Serialize;

use crate::capture::Recorded;
use crate::error::Note;
use crate::regulator::{Step, StepTable};
use crate::spectrum::Spectrum;
use crate::waveform::Coupling;

use super::parts::{PlacementPart, placement_key};
use super::shape_document::readings;
use super::survey_document::program;
use super::{CAUTIONS, Document, MeasuresPart, NotePart, ReadingPart, StepPart, UnderstoodPart};

/// Findings in the rows that are listed one by one.
const LISTED_PROBLEMS: usize = 20;
/// Less of the alternating power than this repeating from period to period is no current that a step
/// can be judged by. Our own choice: a tenth of the power is 5 % of the RMS, more than any band.
const LEAST_PERIODIC_RATIO: f64 = 0.9;
/// Farther than this from every nominal, the nearest step is not meant. Our own choice: well beyond
/// every band, less than half of the way from one nominal to the next.
const NEAR_RATIO: f64 = 0.10;

/// A recorded current: how the file was understood and what it holds.
#[derive(Debug, Serialize, JsonSchema)]
pub struct CaptureDocument {
    /// Format number.
    pub format: u32,
    /// Program and version that wrote it.
    pub program: String,
    /// The file.
    pub file: String,
    /// How it was understood.
    pub understood: UnderstoodPart,
    /// The whole periods that were cut out.
    pub periods: PeriodsPart,
    /// Measures of the current.
    pub measures: MeasuresPart,
    /// What each law shows, against the true RMS with the mean included.
    pub readings: Vec<ReadingPart>,
    /// The brightness step it is judged against: the one asked for, or the nearest.
    pub step: JudgedStepPart,
    /// Rows that carry less than they should, the first twenty.
    pub row_findings: Vec<String>,
    /// How many such findings there are in all.
    pub row_finding_count: usize,
    /// What was decided or noticed on the way.
    pub notes: Vec<NotePart>,
    /// What anyone going to the equipment must heed.
    pub cautions: Vec<&'static str>,
}

/// The whole periods cut out of a record.
#[derive(Debug, Serialize, JsonSchema)]
pub struct PeriodsPart {
    /// Mains frequency found in the samples.
    pub frequency_hz: f64,
    /// Its standard uncertainty from noise; absent when the frequency was given.
    pub frequency_standard_uncertainty_hz: Option<f64>,
    /// Number of whole periods.
    pub cycles: usize,
    /// Sample of the record at which they begin, from 0.
    pub first_sample: usize,
    /// Where they begin, in seconds after the first sample of the record.
    pub from_s: f64,
    /// Where they end, in seconds after the first sample of the record.
    pub to_s: f64,
    /// Length of one period in samples of the record.
    pub period_samples: f64,
    /// Part of the alternating power that repeats from period to period.
    pub periodic_ratio: f64,
}

/// A step with the place of a current against its band.
#[derive(Debug, Serialize, JsonSchema)]
pub struct JudgedStepPart {
    /// The step.
    #[serde(flatten)]
    pub step: StepPart,
    /// Whether the user asked for this step; otherwise it is the nearest.
    pub asked_for: bool,
    /// Where the true RMS (mean included) lies: `low`, `inside` or `high`; null without a verdict.
    #[schemars(with = "Option<PlacementPart>")]
    pub placement: Option<&'static str>,
    /// Why there is no verdict, when there is none.
    pub no_verdict: Option<&'static str>,
}

impl CaptureDocument {
    /// The document of a capture.
    ///
    /// `asked` is the step the user named; without one the nearest of the table is taken.
    #[must_use]
    pub fn new(
        file: &Path,
        recorded: &Recorded,
        table: &StepTable,
        asked: Option<&Step>,
        notes: &[Note],
    ) -> Self {
        let Recorded { record, channel, cut, .. } = recorded;
        let scale_unknown = channel.scale.full_scale.is_some()
            && notes.iter().any(|note| note.code == "unit-assumed");
        let waveform = &cut.waveform;
        let truth = waveform.true_rms(Coupling::Dc);
        let step = asked.unwrap_or_else(|| table.nearest(truth));
        let is_steady = cut.periodic_ratio >= LEAST_PERIODIC_RATIO
            && notes.iter().all(|note| note.code != "not-steady");
        let is_near = asked.is_some()
            || truth.ratio_to(step.nominal).is_some_and(|ratio| (ratio - 1.0).abs() <= NEAR_RATIO);
        let no_verdict = if !is_steady {
            Some("the current is not steady enough")
        } else if scale_unknown {
            Some("the file gives no amperes")
        } else if !is_near {
            Some("no step near")
        } else {
            None
        };
        let from_s = cut.first_sample as f64 / recorded.sample_rate_hz;
        Self {
            format: Document::FORMAT,
            program: program(),
            file: file.display().to_string(),
            understood: UnderstoodPart::new(recorded),
            periods: PeriodsPart {
                frequency_hz: cut.frequency_hz,
                frequency_standard_uncertainty_hz: cut.frequency_standard_uncertainty_hz,
                cycles: cut.cycles,
                first_sample: cut.first_sample,
                from_s,
                to_s: from_s + cut.cycles as f64 / cut.frequency_hz,
                period_samples: cut.period_samples,
                periodic_ratio: cut.periodic_ratio,
            },
            measures: MeasuresPart::new(&waveform.measures(), &Spectrum::of(waveform)),
            readings: readings(waveform),
            step: JudgedStepPart {
                step: step.into(),
                asked_for: asked.is_some(),
                placement: no_verdict.is_none().then(|| placement_key(step.band.place(truth))),
                no_verdict,
            },
            row_findings: record
                .problems
                .iter()
                .take(LISTED_PROBLEMS)
                .map(ToString::to_string)
                .collect(),
            row_finding_count: record.problem_count,
            notes: notes.iter().map(NotePart::from).collect(),
            cautions: CAUTIONS.to_vec(),
        }
    }
}

use std::path::Path;

use schemars::JsonSchema;
use serde::Serialize;

use crate::assess::{RecordedStep, StepResult};
use crate::capture::{RecordSummary, RmsUncertainty, SampleStream};
use crate::error::Note;
use crate::spectrum::Spectrum;
use crate::waveform::Waveform;

use super::event_part::EventPart;
use super::parts::{PlacementPart, placement_key};
use super::shape_document::readings;
use super::survey_document::program;
use super::{CAUTIONS, Document, MeasuresPart, MeterPart, NotePart, ReadingPart, StepPart};

/// Orders of the groups in a document.
const GROUP_ORDERS: usize = 40;

/// A record from its first sample to its last.
#[derive(Debug, Serialize, JsonSchema)]
pub struct RecordDocument {
    /// Format number.
    pub format: u32,
    /// Program and version that wrote it.
    pub program: String,
    /// The file.
    pub file: String,
    /// Column of the current, from 1.
    pub column: usize,
    /// Its name.
    pub column_name: Option<String>,
    /// Samples per second.
    pub sample_rate_hz: f64,
    /// Samples on the time axis, gaps included.
    pub samples: u64,
    /// Samples that the file does not give.
    pub missing_samples: u64,
    /// Length of the record.
    pub duration_s: f64,
    /// Whole periods.
    pub periods: u64,
    /// Windows of 10 or 12 cycles.
    pub windows: u64,
    /// Mains frequency over the record.
    pub frequency: FrequencyPart,
    /// RMS over the record.
    pub rms: RmsSpanPart,
    /// The stretch that stands for the record.
    pub steady: SteadyPartPart,
    /// Measures of its averaged period; null when the current is nowhere steady, so that no one
    /// period stands for it.
    pub measures: Option<MeasuresPart>,
    /// What each law shows of it, against its true RMS with the mean included; empty likewise.
    pub readings: Vec<ReadingPart>,
    /// What its RMS is worth.
    pub uncertainty: RmsUncertaintyPart,
    /// The brightness step it is likely to be.
    pub step: RecordedStepPart,
    /// The description's meters on this very current; empty without a description or a step.
    pub meters: Vec<MeterPart>,
    /// Harmonic groups of one window of that stretch.
    pub groups: Vec<GroupPart>,
    /// Distortion by subgroups.
    pub subgroup_thd_ratio: Option<f64>,
    /// What happened, in the order of time.
    pub events: Vec<EventPart>,
    /// Files written with the time series.
    pub series: Vec<String>,
    /// What was decided or noticed on the way.
    pub notes: Vec<NotePart>,
    /// What anyone going to the equipment must heed.
    pub cautions: Vec<&'static str>,
}

/// Mains frequency over a record.
#[derive(Debug, Serialize, JsonSchema)]
pub struct FrequencyPart {
    /// In the stretch that stands for the record.
    pub steady_hz: f64,
    /// Smallest found; null when the frequency was given.
    pub least_hz: Option<f64>,
    /// Largest found.
    pub most_hz: Option<f64>,
    /// First found.
    pub first_hz: Option<f64>,
    /// Last found.
    pub last_hz: Option<f64>,
}

/// RMS over a record.
#[derive(Debug, Serialize, JsonSchema)]
pub struct RmsSpanPart {
    /// Smallest of a single period.
    pub least_period_a: f64,
    /// Largest of a single period.
    pub most_period_a: f64,
    /// Smallest of a window of 10 or 12 cycles; null without one.
    pub least_window_a: Option<f64>,
    /// Largest of a window.
    pub most_window_a: Option<f64>,
}

/// The stretch that stands for the record.
#[derive(Debug, Serialize, JsonSchema)]
pub struct SteadyPartPart {
    /// Whether the current is steady there; otherwise it is the whole record.
    pub is_steady: bool,
    /// Where it begins, in seconds after the first sample.
    pub start_s: f64,
    /// Where it ends.
    pub end_s: f64,
    /// Whole periods.
    pub periods: u64,
    /// True RMS over all of them, mean included.
    pub rms_a: f64,
    /// Standard deviation of the RMS of single periods.
    pub rms_deviation_a: Option<f64>,
    /// Largest magnitude in any of them.
    pub peak_a: f64,
}

/// What a true RMS is worth, relative to it.
#[derive(Debug, Serialize, JsonSchema)]
pub struct RmsUncertaintyPart {
    /// Standard uncertainty from the scaling; null when the clamp's accuracy is not given.
    pub scaling_ratio: Option<f64>,
    /// Standard uncertainty from the scatter of periods.
    pub noise_ratio: Option<f64>,
    /// Standard uncertainty from the window's ends.
    pub window_ratio: Option<f64>,
    /// All of these combined.
    pub combined_ratio: f64,
    /// That times the coverage factor.
    pub expanded_ratio: f64,
    /// The coverage factor.
    pub coverage_factor: f64,
}

/// The step a record is likely to be.
#[derive(Debug, Serialize, JsonSchema)]
pub struct RecordedStepPart {
    /// The step.
    #[serde(flatten)]
    pub step: StepPart,
    /// Whether the user asked for it; otherwise it is the nearest.
    pub asked_for: bool,
    /// Where the true RMS lies; null when no step is near or the current is not steady.
    #[schemars(with = "Option<PlacementPart>")]
    pub placement: Option<&'static str>,
    /// Whether the expanded uncertainty leaves no doubt about that.
    pub beyond_doubt: bool,
    /// Why there is no verdict, when there is none.
    pub no_verdict: Option<&'static str>,
}

/// Groups of one order.
#[derive(Debug, Serialize, JsonSchema)]
pub struct GroupPart {
    /// Order; 1 is the fundamental.
    pub order: usize,
    /// RMS of the harmonic group.
    pub group_rms_a: f64,
    /// RMS of the harmonic subgroup.
    pub subgroup_rms_a: f64,
    /// RMS of the centred interharmonic subgroup above it; null beyond the last.
    pub interharmonic_above_rms_a: Option<f64>,
}

/// What a record's document is made of.
#[derive(Debug)]
pub struct RecordResult<'r> {
    /// The file.
    pub file: &'r Path,
    /// How it was read.
    pub stream: &'r SampleStream,
    /// What was found.
    pub summary: &'r RecordSummary,
    /// The averaged period of the stretch that stands for it.
    pub waveform: &'r Waveform,
    /// What its RMS is worth.
    pub uncertainty: RmsUncertainty,
    /// The step it is likely to be.
    pub step: &'r RecordedStep,
    /// The meters on this current, when there is a description.
    pub verdicts: Option<&'r StepResult>,
    /// Files written with the time series.
    pub series: Vec<String>,
    /// What was noticed.
    pub notes: &'r [Note],
}

impl RecordDocument {
    /// The document of a record.
    #[must_use]
    pub fn new(result: &RecordResult<'_>) -> Self {
        let RecordResult { summary, stream, waveform, step, .. } = result;
        let part = summary.representative();
        let channel = stream.about().channels.first();
        let is_steady = summary.steady.is_some();
        let no_verdict = match (is_steady, step.placement) {
            (false, _) => Some("the current is not steady enough"),
            (true, None) => Some("no step near"),
            (true, Some(_)) => None,
        };
        let span = summary.frequency_span_hz;
        let ends = summary.frequency_ends_hz;
        let windows = summary.window_rms_span_a;
        let uncertainty = &result.uncertainty;
        Self {
            format: Document::FORMAT,
            program: program(),
            file: result.file.display().to_string(),
            column: channel.map_or(1, |channel| channel.number),
            column_name: channel.and_then(|channel| channel.name.clone()),
            sample_rate_hz: summary.sample_rate_hz,
            samples: summary.samples,
            missing_samples: summary.missing_samples,
            duration_s: summary.duration_s(),
            periods: summary.periods,
            windows: summary.windows,
            frequency: FrequencyPart {
                steady_hz: part.frequency_hz(),
                least_hz: span.map(|(least, _)| least),
                most_hz: span.map(|(_, most)| most),
                first_hz: ends.map(|(first, _)| first),
                last_hz: ends.map(|(_, last)| last),
            },
            rms: RmsSpanPart {
                least_period_a: summary.rms_span_a.0,
                most_period_a: summary.rms_span_a.1,
                least_window_a: windows.map(|(least, _)| least),
                most_window_a: windows.map(|(_, most)| most),
            },
            steady: SteadyPartPart {
                is_steady,
                start_s: part.start_s,
                end_s: part.end_s,
                periods: part.periods(),
                rms_a: part.rms_a(),
                rms_deviation_a: part.rms_deviation_a(),
                peak_a: part.peak_a(),
            },
            measures: is_steady
                .then(|| MeasuresPart::new(&waveform.measures(), &Spectrum::of(waveform))),
            readings: if is_steady { readings(waveform) } else { Vec::new() },
            uncertainty: RmsUncertaintyPart {
                scaling_ratio: uncertainty.scaling_ratio,
                noise_ratio: uncertainty.noise_ratio,
                window_ratio: uncertainty.window_ratio,
                combined_ratio: uncertainty.combined_ratio(),
                expanded_ratio: uncertainty.expanded_ratio(),
                coverage_factor: RmsUncertainty::COVERAGE_FACTOR,
            },
            step: RecordedStepPart {
                step: (&step.step).into(),
                asked_for: step.asked_for,
                placement: step.placement.filter(|_| is_steady).map(placement_key),
                beyond_doubt: is_steady && step.beyond_doubt,
                no_verdict,
            },
            meters: result
                .verdicts
                .map_or(Vec::new(), |step| step.judgements.iter().map(MeterPart::from).collect()),
            groups: groups(summary),
            subgroup_thd_ratio: summary.groups.as_ref().and_then(|g| g.subgroup_thd_ratio()),
            events: summary.events.iter().map(EventPart::from).collect(),
            series: result.series.clone(),
            notes: result.notes.iter().map(NotePart::from).collect(),
            cautions: CAUTIONS.to_vec(),
        }
    }
}

fn groups(summary: &RecordSummary) -> Vec<GroupPart> {
    let Some(groups) = &summary.groups else { return Vec::new() };
    let part = |order: usize| {
        Some(GroupPart {
            order,
            group_rms_a: groups.group_rms_a(order)?,
            subgroup_rms_a: groups.subgroup_rms_a(order)?,
            interharmonic_above_rms_a: groups.interharmonic_subgroup_rms_a(order),
        })
    };
    (1..=GROUP_ORDERS).map_while(part).collect()
}

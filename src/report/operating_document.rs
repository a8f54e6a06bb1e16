use schemars::JsonSchema;
use serde::Serialize;

use crate::circuit::PeriodicSolution;
use crate::description::{Description, RegulatorSetup};
use crate::error::Result;
use crate::regulator::{BranchSummary, OperatingPoint, Reach, ReachSide};
use crate::spectrum::Spectrum;
use crate::waveform::Coupling;

use super::recheck_part::sense_key;
use super::shape_document::readings;
use super::survey_document::program;
use super::{Document, MeasuresPart, NotePart, ReadingPart};

/// One operating point of a regulator: a current held on a load.
#[derive(Debug, Serialize, JsonSchema)]
pub struct OperatingDocument {
    /// Format number.
    pub format: u32,
    /// Program and version that wrote it.
    pub program: String,
    /// Title of the description.
    pub title: String,
    /// Whether place, equipment and numbers are made up.
    pub invented: bool,
    /// The regulator and its load in words.
    pub regulator: String,
    /// Load as a share of the rated load resistance.
    pub load_ratio: f64,
    /// What the control senses: `true-rms` or `average`.
    pub control_senses: &'static str,
    /// Current asked for, as the control senses it.
    pub target_a: f64,
    /// Whether it can be held; otherwise everything below belongs to the nearest current that can.
    pub held: bool,
    /// The end of the range when the target is out of reach: `highest` or `lowest`.
    pub limit: Option<&'static str>,
    /// The current at that end, as the control senses it.
    pub limit_a: Option<f64>,
    /// Firing delay after the zero crossing of the capacitor voltage.
    pub delay_deg: f64,
    /// Measures of the output current.
    pub measures: MeasuresPart,
    /// What each detector law shows of it.
    pub readings: Vec<ReadingPart>,
    /// True RMS of the output voltage.
    pub output_rms_v: f64,
    /// Largest magnitude of the output voltage.
    pub output_peak_v: f64,
    /// Apparent power at the output.
    pub output_apparent_va: f64,
    /// Active power at the output.
    pub output_active_w: f64,
    /// Active over apparent power.
    pub output_power_factor: Option<f64>,
    /// Every branch of the network.
    pub branches: Vec<BranchPart>,
    /// Stability and convergence of the solution shown.
    pub solution: SolutionPart,
    /// Other periodic solutions found at the same firing delay; absent when none were looked for.
    pub others: Option<Vec<OtherPart>>,
    /// What has to be said beside the result.
    pub notes: Vec<NotePart>,
}

/// A branch of the network.
#[derive(Debug, Serialize, JsonSchema)]
pub struct BranchPart {
    /// Its name.
    pub name: String,
    /// True RMS of its current.
    pub current_rms_a: f64,
    /// Largest magnitude of its current.
    pub current_peak_a: f64,
    /// True RMS of its voltage.
    pub voltage_rms_v: f64,
    /// Largest magnitude of its voltage.
    pub voltage_peak_v: f64,
}

impl From<&BranchSummary> for BranchPart {
    fn from(branch: &BranchSummary) -> Self {
        Self {
            name: branch.name.clone(),
            current_rms_a: branch.current_rms_a,
            current_peak_a: branch.current_peak_a,
            voltage_rms_v: branch.voltage_rms_v,
            voltage_peak_v: branch.voltage_peak_v,
        }
    }
}

/// How good and how stable a periodic solution is.
#[derive(Debug, Serialize, JsonSchema)]
pub struct SolutionPart {
    /// `stable`, `unstable` or `marginal`, at a held firing delay.
    pub stability: &'static str,
    /// Magnitude of the largest multiplier of the period map.
    pub largest_multiplier: Option<f64>,
    /// Time in which the slowest disturbance falls to 1/e.
    pub decay_time_s: Option<f64>,
    /// Largest difference between start and end of the period, each state against its peak.
    pub defect_ratio: f64,
    /// Newton iterations.
    pub iterations: usize,
}

impl From<&PeriodicSolution> for SolutionPart {
    fn from(solution: &PeriodicSolution) -> Self {
        Self {
            stability: solution.stability().words(),
            largest_multiplier: solution.multipliers.first().map(|largest| largest.norm()),
            decay_time_s: solution.decay_time_s(),
            defect_ratio: solution.defect_ratio,
            iterations: solution.iterations,
        }
    }
}

/// Another periodic solution at the same firing delay.
#[derive(Debug, Serialize, JsonSchema)]
pub struct OtherPart {
    /// True RMS of the output current.
    pub output_rms_a: f64,
    /// Crest factor of the output current.
    pub crest_factor: Option<f64>,
    /// Its stability.
    pub solution: SolutionPart,
}

impl OperatingDocument {
    /// The document of a point; `reach` when the target cannot be held.
    ///
    /// # Errors
    /// As [`OperatingPoint::traces`].
    pub fn new(
        description: &Description,
        setup: &RegulatorSetup,
        target_a: f64,
        point: &OperatingPoint,
        reach: Option<&Reach>,
        others: Option<&[PeriodicSolution]>,
    ) -> Result<Self> {
        let power = point.output_power()?;
        Ok(Self {
            format: Document::FORMAT,
            program: program(),
            title: description.title.clone(),
            invented: description.is_invented,
            regulator: setup.words(setup.load_ratio),
            load_ratio: setup.load_ratio,
            control_senses: sense_key(point.sense),
            target_a,
            held: reach.is_none(),
            limit: reach.map(|reach| side_key(reach.side)),
            limit_a: reach.map(|reach| reach.limit_a),
            delay_deg: point.delay_rad().to_degrees(),
            measures: MeasuresPart::new(&point.output.measures(), &Spectrum::of(&point.output)),
            readings: readings(&point.output),
            output_rms_v: power.voltage_rms_v,
            output_peak_v: power.voltage_peak_v,
            output_apparent_va: power.apparent_va,
            output_active_w: power.active_w,
            output_power_factor: power.power_factor,
            branches: point.branch_summaries()?.iter().map(BranchPart::from).collect(),
            solution: (&point.solution).into(),
            others: others.map(|found| other_parts(point, found)).transpose()?,
            notes: point.notes().iter().map(NotePart::from).collect(),
        })
    }
}

fn other_parts(point: &OperatingPoint, found: &[PeriodicSolution]) -> Result<Vec<OtherPart>> {
    let samples = point.output.samples_a().len();
    found
        .iter()
        .map(|solution| {
            let current = solution.waveform(&point.circuit, point.output_branch, samples)?;
            Ok(OtherPart {
                output_rms_a: current.rms_a(Coupling::Dc),
                crest_factor: current.measures().dc.crest_factor(),
                solution: solution.into(),
            })
        })
        .collect()
}

pub(super) fn side_key(side: ReachSide) -> &'static str {
    match side {
        ReachSide::AboveHighest => "highest",
        ReachSide::BelowLowest => "lowest",
    }
}

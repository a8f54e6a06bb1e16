use schemars::JsonSchema;
use serde::Serialize;

use crate::description::{Description, RegulatorSetup, Tolerance};
use crate::error::Note;
use crate::study::{
    CircuitEstimate, ConvergencePoint, OutputEstimate, StepEstimate, VariedCircuit,
};
use crate::uncertainty::{BracketedQuantile, SensitivityIndex};

use super::survey_document::program;
use super::{Document, NotePart};

/// What the tolerances of a description leave open, step by step.
#[derive(Debug, Serialize, JsonSchema)]
pub struct EstimateDocument {
    /// Format number.
    pub format: u32,
    /// Program and version that wrote it.
    pub program: String,
    /// Title of the description.
    pub title: String,
    /// Whether place, equipment and numbers are made up.
    pub invented: bool,
    /// The regulator and what is connected to it, in words.
    pub circuit: String,
    /// Circuits the intervals are taken from.
    pub circuits: u64,
    /// Pairs of circuits the sensitivity indices are taken from; 0 for none.
    pub pairs: u64,
    /// Seed of the random numbers.
    pub seed: u64,
    /// What varied.
    pub tolerances: Vec<TolerancePart>,
    /// The steps, the brightest first.
    pub steps: Vec<StepEstimatePart>,
    /// What has to be said beside the result.
    pub notes: Vec<NotePart>,
}

/// One tolerance.
#[derive(Debug, Serialize, JsonSchema)]
pub struct TolerancePart {
    /// Dotted name of the number.
    pub of: String,
    /// What it is, in words.
    pub words: String,
    /// Its value as described, in SI base units.
    pub nominal: f64,
    /// Name of the distribution.
    pub distribution: &'static str,
    /// Mean, in the number's SI base unit.
    pub mean: f64,
    /// Standard uncertainty, in the number's SI base unit; absent when the law has none.
    pub standard_uncertainty: Option<f64>,
    /// Group with which it shares a sensitivity index.
    pub group: String,
    /// Whether it is a default of ours, without a source.
    pub generic: bool,
}

impl From<&Tolerance> for TolerancePart {
    fn from(tolerance: &Tolerance) -> Self {
        Self {
            of: tolerance.parameter.key().to_owned(),
            words: tolerance.parameter.words().to_owned(),
            nominal: tolerance.parameter.nominal(),
            distribution: tolerance.distribution.key(),
            mean: tolerance.distribution.mean(),
            standard_uncertainty: tolerance.distribution.standard_uncertainty(),
            group: tolerance.group.clone(),
            generic: tolerance.is_generic,
        }
    }
}

/// One step over the tolerances.
#[derive(Debug, Serialize, JsonSchema)]
pub struct StepEstimatePart {
    /// Number of the step.
    pub step: u32,
    /// Its nominal current.
    pub nominal_rms_a: f64,
    /// The answer in one sentence; absent when too few circuits hold the step.
    pub sentence: Option<String>,
    /// Circuits tried.
    pub circuits: u64,
    /// Those that hold the step.
    pub held: u64,
    /// Those of which it is known that they do not.
    pub out_of_reach: u64,
    /// Those without an answer.
    pub unsolved: u64,
    /// Share of the circuits that do not hold the step, or have no answer.
    pub not_held_ratio: f64,
    /// The outputs.
    pub outputs: Vec<OutputEstimatePart>,
}

/// One output with its interval, in the unit its name ends with.
#[derive(Debug, Serialize, JsonSchema)]
pub struct OutputEstimatePart {
    /// `crest_factor`, `average_error_ratio` or `output_peak_v`.
    pub output: &'static str,
    /// With every number as described.
    pub nominal: Option<f64>,
    /// Mean.
    pub mean: f64,
    /// Standard deviation.
    pub standard_deviation: f64,
    /// Median.
    pub median: f64,
    /// Lower end of the 95 % interval.
    pub low: QuantilePart,
    /// Upper end of the 95 % interval.
    pub high: QuantilePart,
    /// The interval as it settled.
    pub convergence: Vec<ConvergencePart>,
    /// How much each group of tolerances is behind the variance; absent when it is not known.
    pub indices: Option<Vec<IndexPart>>,
}

/// A quantile with its own 95 % confidence interval.
#[derive(Debug, Serialize, JsonSchema)]
pub struct QuantilePart {
    /// The quantile.
    pub value: f64,
    /// Lower end of its confidence interval.
    pub from: f64,
    /// Upper end of its confidence interval.
    pub to: f64,
}

impl From<BracketedQuantile> for QuantilePart {
    fn from(quantile: BracketedQuantile) -> Self {
        Self { value: quantile.value, from: quantile.low, to: quantile.high }
    }
}

/// The interval after so many circuits.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ConvergencePart {
    /// Circuits that held the step until then.
    pub held: u64,
    /// Lower end.
    pub low: f64,
    /// Median.
    pub median: f64,
    /// Upper end.
    pub high: f64,
}

impl From<&ConvergencePoint> for ConvergencePart {
    fn from(point: &ConvergencePoint) -> Self {
        Self { held: point.held, low: point.low, median: point.median, high: point.high }
    }
}

/// Sensitivity indices of one group.
#[derive(Debug, Serialize, JsonSchema)]
pub struct IndexPart {
    /// The group.
    pub group: String,
    /// Share of the variance that would vanish were it known exactly.
    pub first_order_ratio: f64,
    /// Standard error of that from the finite sample.
    pub first_order_error: f64,
    /// Share of the variance that would remain were everything else known exactly.
    pub total_ratio: f64,
    /// Standard error of that from the finite sample.
    pub total_error: f64,
}

impl IndexPart {
    fn new(group: &str, index: &SensitivityIndex) -> Self {
        Self {
            group: group.to_owned(),
            first_order_ratio: index.first_order_ratio,
            first_order_error: index.first_order_error,
            total_ratio: index.total_ratio,
            total_error: index.total_error,
        }
    }
}

impl OutputEstimatePart {
    fn new(estimate: &CircuitEstimate, output: &OutputEstimate) -> Self {
        let parts = |indices: &Vec<SensitivityIndex>| {
            let named = estimate.groups.iter().zip(indices);
            named.map(|(group, index)| IndexPart::new(group, index)).collect()
        };
        Self {
            output: output.output.key(),
            nominal: output.nominal,
            mean: output.mean,
            standard_deviation: output.standard_deviation,
            median: output.median,
            low: output.low.into(),
            high: output.high.into(),
            convergence: output.convergence.iter().map(ConvergencePart::from).collect(),
            indices: output.indices.as_ref().map(parts),
        }
    }
}

impl StepEstimatePart {
    fn new(estimate: &CircuitEstimate, step: &StepEstimate) -> Self {
        Self {
            step: step.step,
            nominal_rms_a: step.nominal_rms_a,
            sentence: estimate.sentence(step),
            circuits: step.circuits,
            held: step.held,
            out_of_reach: step.out_of_reach,
            unsolved: step.unsolved,
            not_held_ratio: step.not_held_ratio(),
            outputs: step.outputs.iter().map(|o| OutputEstimatePart::new(estimate, o)).collect(),
        }
    }
}

impl EstimateDocument {
    /// The document of an estimate of a circuit.
    #[must_use]
    pub fn new(
        description: &Description,
        circuit: &VariedCircuit,
        estimate: &CircuitEstimate,
    ) -> Self {
        Self {
            format: Document::FORMAT,
            program: program(),
            title: description.title.clone(),
            invented: description.is_invented,
            circuit: circuit_words(description, circuit),
            circuits: estimate.steps.first().map_or(0, |step| step.circuits),
            pairs: estimate.options.pairs,
            seed: estimate.options.seed,
            tolerances: estimate.tolerances.iter().map(TolerancePart::from).collect(),
            steps: estimate.steps.iter().map(|s| StepEstimatePart::new(estimate, s)).collect(),
            notes: circuit.notes().iter().chain(&notes(estimate)).map(NotePart::from).collect(),
        }
    }
}

/// The regulator and what is connected to it, in words.
#[must_use]
pub fn circuit_words(description: &Description, circuit: &VariedCircuit) -> String {
    let rating = description.regulator.as_ref().map(RegulatorSetup::rating_words);
    format!("{}, {}", rating.unwrap_or_default(), circuit.load_words())
}

fn notes(estimate: &CircuitEstimate) -> Vec<Note> {
    let mut notes = Vec::new();
    let generic = estimate.tolerances.iter().filter(|tolerance| tolerance.is_generic).count();
    if generic > 0 {
        notes.push(Note::new(
            "generic-tolerances",
            format!(
                "{generic} of {} tolerances are defaults of ours, without a source; a [[tolerance]] \
                 in the description replaces them",
                estimate.tolerances.len()
            ),
        ));
    }
    for step in estimate.steps.iter().filter(|step| step.held < step.circuits) {
        notes.push(Note::new(
            "not-every-circuit",
            format!(
                "step {}: {} of {} circuits cannot hold it and {} have no answer; the interval is \
                 over the others",
                step.step, step.out_of_reach, step.circuits, step.unsolved
            ),
        ));
    }
    notes
}

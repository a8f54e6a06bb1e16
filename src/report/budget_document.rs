use schemars::JsonSchema;
use serde::Serialize;

use crate::assess::instrument::{ReadingDecision, StepCurrents, Terms};
use crate::error::Result;
use crate::uncertainty::{Budget, BudgetRow, MonteCarloRun, Validation};

use super::fitness_document::TermsPart;
use super::survey_document::program;
use super::{DecisionPart, Document, StepPart};

/// The uncertainty budget of one reading, with trials beside it.
#[derive(Debug, Serialize, JsonSchema)]
pub struct BudgetDocument {
    /// Format number.
    pub format: u32,
    /// Program and version that wrote it.
    pub program: String,
    /// Title of the description.
    pub title: String,
    /// Whether place, equipment and numbers are made up.
    pub invented: bool,
    /// What was asked for.
    pub terms: TermsPart,
    /// The meter.
    pub meter: String,
    /// The step.
    pub step: StepPart,
    /// `shorted` or `loaded`.
    pub connection: &'static str,
    /// The number on the display.
    pub shown_a: f64,
    /// The true RMS current it means.
    pub value_a: f64,
    /// The lines of the budget.
    pub rows: Vec<BudgetRowPart>,
    /// Combined standard uncertainty.
    pub combined_a: f64,
    /// Effective degrees of freedom; `null` when infinite.
    pub effective_degrees_of_freedom: Option<f64>,
    /// Expanded uncertainty.
    pub expanded_a: f64,
    /// Its coverage factor.
    pub coverage_factor: f64,
    /// Where the coverage factor comes from.
    pub coverage_basis: &'static str,
    /// The same by trials.
    pub trials: TrialsPart,
    /// What may be decided from the reading.
    pub decision: DecisionPart,
}

/// One line of a budget.
#[derive(Debug, Serialize, JsonSchema)]
pub struct BudgetRowPart {
    /// The quantity.
    pub quantity: String,
    /// Its unit.
    pub unit: String,
    /// Its estimate.
    pub value: f64,
    /// Its standard uncertainty.
    pub standard_uncertainty: f64,
    /// `A` or `B`.
    pub evaluation: &'static str,
    /// Its distribution.
    pub distribution: &'static str,
    /// Its degrees of freedom; `null` when infinite.
    pub degrees_of_freedom: Option<f64>,
    /// Change of the result for a change of the quantity.
    pub sensitivity: f64,
    /// What it contributes, in amperes.
    pub contribution_a: f64,
    /// Its share of the variance.
    pub share_ratio: Option<f64>,
}

impl From<&BudgetRow> for BudgetRowPart {
    fn from(row: &BudgetRow) -> Self {
        Self {
            quantity: row.name.clone(),
            unit: row.unit.clone(),
            value: row.value,
            standard_uncertainty: row.standard_uncertainty,
            evaluation: row.evaluation.letter(),
            distribution: row.distribution,
            degrees_of_freedom: row.degrees_of_freedom,
            sensitivity: row.sensitivity,
            contribution_a: row.contribution,
            share_ratio: row.share_ratio,
        }
    }
}

/// The same budget by trials.
#[derive(Debug, Serialize, JsonSchema)]
pub struct TrialsPart {
    /// Number of trials.
    pub trials: usize,
    /// Seed of the random numbers.
    pub seed: u64,
    /// Whether the results were stable when it ended.
    pub stable: bool,
    /// Mean.
    pub mean_a: f64,
    /// Standard uncertainty.
    pub standard_uncertainty_a: f64,
    /// Lower end of the coverage interval.
    pub low_a: f64,
    /// Upper end of the coverage interval.
    pub high_a: f64,
    /// Half of the interval's width.
    pub half_width_a: f64,
    /// Whether both methods agree within the tolerance.
    pub validates: bool,
    /// Largest distance of two ends.
    pub difference_a: f64,
    /// The tolerance: half of the last digit that matters.
    pub tolerance_a: f64,
}

/// Digits of the standard uncertainty in which both methods must agree.
const DIGITS: u32 = 2;

impl BudgetDocument {
    /// The document of a budget and a run of the same inputs.
    ///
    /// # Errors
    /// As [`Budget::expanded`] and [`Validation::new`].
    #[expect(clippy::too_many_arguments, reason = "one document out of what belongs to it")]
    pub fn new(
        title: &str,
        invented: bool,
        terms: &Terms,
        meter: &str,
        currents: &StepCurrents,
        decision: &ReadingDecision,
        budget: &Budget,
        run: &MonteCarloRun,
        seed: u64,
    ) -> Result<Self> {
        let probability = terms.conformance_probability;
        let expanded = budget.expanded(probability)?;
        let validation = Validation::new(budget, run, probability, DIGITS)?;
        let freedom = budget.effective_degrees_of_freedom();
        Ok(Self {
            format: Document::FORMAT,
            program: program(),
            title: title.to_owned(),
            invented,
            terms: terms.into(),
            meter: meter.to_owned(),
            step: currents.step().into(),
            connection: currents.connection().key(),
            shown_a: decision.shown.shown_a,
            value_a: budget.estimate().value,
            rows: budget.rows().iter().map(BudgetRowPart::from).collect(),
            combined_a: budget.combined(),
            effective_degrees_of_freedom: freedom.is_finite().then_some(freedom),
            expanded_a: expanded.half_width,
            coverage_factor: expanded.coverage_factor,
            coverage_basis: expanded.basis.words(),
            trials: TrialsPart {
                trials: run.sampled.trials(),
                seed,
                stable: run.stable,
                mean_a: run.sampled.mean(),
                standard_uncertainty_a: run.sampled.standard_uncertainty(),
                low_a: validation.interval.low,
                high_a: validation.interval.high,
                half_width_a: 0.5 * validation.interval.width(),
                validates: validation.holds(),
                difference_a: validation.low_difference.max(validation.high_difference),
                tolerance_a: validation.tolerance,
            },
            decision: decision.into(),
        })
    }
}

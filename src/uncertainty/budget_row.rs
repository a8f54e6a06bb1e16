use super::Evaluation;

/// One line of a printed budget, as plain data: the columns a metrologist expects.
#[derive(Clone, Debug, PartialEq)]
pub struct BudgetRow {
    /// What the input is.
    pub name: String,
    /// Unit of the input.
    pub unit: String,
    /// Its value.
    pub value: f64,
    /// Its standard uncertainty.
    pub standard_uncertainty: f64,
    /// Type A or B.
    pub evaluation: Evaluation,
    /// Short name of its distribution.
    pub distribution: &'static str,
    /// Degrees of freedom; `None` when its uncertainty is taken as exactly known.
    pub degrees_of_freedom: Option<f64>,
    /// Sensitivity coefficient.
    pub sensitivity: f64,
    /// |c| u, in the unit of the result.
    pub contribution: f64,
    /// Share of (c u)² in the combined variance; the shares add up to 1 only without correlations and
    /// second-order terms.
    pub share_ratio: Option<f64>,
}

//! Uncertainty in the GUM's terms: estimates, budgets, propagation, Monte Carlo, decision rules.
//!
//! Knows: numbers with a standard uncertainty, laws of probability and random numbers, what is done
//! with them, and what may be decided from them. Refuses to know: meters, regulators.
//!
//! Conventions: u is always a *standard* uncertainty and lives in [`Estimate`]; an expanded one is
//! [`Expanded`] and keeps its coverage factor. A value here has the unit its owner names
//! ([`Input::unit`], [`Budget::unit`]); sensitivities are in the result's unit per the input's.
//! Degrees of freedom are infinite where an uncertainty is taken as exactly known. Random numbers are
//! found by their place ([`Stream`]), so that the same seed gives the same bytes on any number of
//! threads.

mod bracketed_quantile;
mod distribution;
mod drift_line;
mod drift_reading;
mod paired_design;
mod sample;
mod sensitivity_index;
mod stream;
mod variance_shares;

pub use bracketed_quantile::BracketedQuantile;
pub use distribution::Distribution;
pub use drift_line::DriftLine;
pub use drift_reading::DriftReading;
pub use paired_design::PairedDesign;
pub use sample::Sample;
pub use sensitivity_index::SensitivityIndex;
pub use stream::Stream;
mod budget;
mod budget_row;
mod contribution;
mod correlations;
pub mod coverage;
mod coverage_basis;
pub mod decision;
mod derivatives;
mod estimate;
mod evaluation;
mod expanded;
mod input;
mod interval;
mod joint;
mod monte_carlo;
mod monte_carlo_run;
mod part;
mod sampled;
mod shape;
mod tolerance;
mod validation;

pub use budget::Budget;
pub use budget_row::BudgetRow;
pub use contribution::Contribution;
pub use correlations::Correlations;
pub use coverage_basis::CoverageBasis;
pub use estimate::Estimate;
pub use evaluation::Evaluation;
pub use expanded::Expanded;
pub use input::Input;
pub use interval::Interval;
pub use joint::Joint;
pub use monte_carlo::MonteCarlo;
pub use monte_carlo_run::MonteCarloRun;
pub use part::Part;
pub use sampled::Sampled;
pub use shape::Shape;
pub use tolerance::Tolerance;
pub use validation::Validation;
pub use variance_shares::VarianceShares;

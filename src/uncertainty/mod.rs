//! Uncertainty in the GUM's terms: estimates, budgets, propagation, Monte Carlo, decision rules.
//!
//! Knows: numbers with a standard uncertainty, and what is done with them. Refuses to know: meters,
//! regulators.
//!
//! Conventions: a distribution is in the unit of its quantity; distribution functions, quantiles and
//! sample statistics are those of `statrs`; a random number is found by its trial and coordinate, so
//! that results do not depend on threads or order.

mod bracketed_quantile;
mod distribution;
mod paired_design;
mod sample;
mod sensitivity_index;
mod stream;
mod variance_shares;

pub use bracketed_quantile::BracketedQuantile;
pub use distribution::Distribution;
pub use paired_design::PairedDesign;
pub use sample::Sample;
pub use sensitivity_index::SensitivityIndex;
pub use stream::Stream;
pub use variance_shares::VarianceShares;

//! Uncertainty in the GUM's terms: estimates, budgets, propagation, Monte Carlo, decision rules.
//!
//! Knows: numbers with a standard uncertainty, and what is done with them. Refuses to know: meters,
//! regulators.
//!
//! Conventions: a distribution is in the unit of its quantity; distribution functions, quantiles and
//! sample statistics are those of `statrs`; a random number is found by its trial and coordinate, so
//! that results do not depend on threads or order.

mod distribution;
mod stream;

pub use distribution::Distribution;
pub use stream::Stream;

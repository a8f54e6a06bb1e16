//! Uncertainty in the GUM's terms: estimates, budgets, propagation, Monte Carlo, decision rules.
//!
//! Knows: numbers with a standard uncertainty, and what is done with them. Refuses to know: meters,
//! regulators.

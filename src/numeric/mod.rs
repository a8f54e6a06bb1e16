//! Small dense linear algebra, truncated power series and root finding.
//!
//! Knows: how to factor a matrix of a few dozen rows, find its eigenvalues, multiply truncated
//! power series, evaluate a polynomial and bracket its first root. Refuses to know: physics.
//!
//! Conventions: matrices are row-major slices; power series are in the dimensionless time
//! τ = (t − t₀)/unit, so that coefficients neither overflow nor vanish; nothing here allocates
//! inside a loop over time.

mod brent;
mod eigen;
mod lu;
mod quadrature;
pub(crate) mod series;

pub use brent::root_between;
pub use eigen::eigenvalues;
pub use lu::Lu;
pub use quadrature::integral;

//! Small dense linear algebra, truncated power series and root finding.
//!
//! Knows: how to factor a matrix of a few dozen rows, find its eigenvalues, multiply truncated
//! power series, evaluate a polynomial, bracket its first root and find where a sum of squares is
//! least. Refuses to know: physics.
//!
//! Conventions: matrices are row-major slices; power series are in the dimensionless time
//! τ = (t − t₀)/unit, so that coefficients neither overflow nor vanish; nothing here allocates
//! inside a loop over time.

mod brent;
mod eigen;
mod least_squares;
mod lu;
mod quadrature;
mod normal_matrix;
pub(crate) mod series;

pub use brent::root_between;
pub use eigen::eigenvalues;
pub use least_squares::{LeastPoint, LeastSquares, SearchOptions, least_squares};
pub use lu::Lu;
pub use normal_matrix::NormalMatrix;
pub use quadrature::integral;

/// How much of an output's variance one input, or one group of inputs, is behind.
///
/// # Formula
/// S = V(E(y|x))/V(y) and T = 1 − V(E(y|all others))/V(y). T − S is the part that acts only together
/// with other inputs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SensitivityIndex {
    /// S: the share that would vanish, on the average, were this input known exactly.
    pub first_order_ratio: f64,
    /// Standard error of S from the finite sample.
    pub first_order_error: f64,
    /// T: the share that would remain, on the average, were everything else known exactly.
    pub total_ratio: f64,
    /// Standard error of T from the finite sample.
    pub total_error: f64,
}

use crate::regulator::OperatingPoint;

/// An operating point with what a reader has to know of it: the road from a solved circuit to a
/// figure.
#[derive(Clone, Copy, Debug)]
pub struct NamedPoint<'a> {
    /// What it is called in title or label: "step 3 at 50 % load".
    pub name: &'a str,
    /// The solved circuit.
    pub point: &'a OperatingPoint,
}

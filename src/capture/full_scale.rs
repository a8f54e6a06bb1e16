/// What full scale of a converter means, for files that hold only parts of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum FullScale {
    /// Amperes.
    CurrentA(f64),
    /// Volts; with a clamp's factor they become amperes.
    VoltageV(f64),
}

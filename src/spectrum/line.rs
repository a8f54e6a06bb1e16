/// One harmonic line: `√2 rms sin(order ω t + phase)`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HarmonicLine {
    /// Order; 1 is the fundamental.
    pub order: usize,
    /// RMS of the line.
    pub rms_a: f64,
    /// Phase against a sine that starts at t = 0.
    pub phase_rad: f64,
}

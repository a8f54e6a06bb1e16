/// One-cycle RMS, refreshed each half cycle.
///
/// # Formula
/// I_rms(1/2) = √(½ (q_k + q_{k+1})), q_k the mean square of half cycle k; half cycles begin where
/// periods do and half a period later.
///
/// # Source
/// IEC 61000-4-30, the one-cycle RMS updated each half cycle (from memory, not verified).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HalfCycle {
    /// Where the cycle begins, in seconds after the first sample.
    pub start_s: f64,
    /// Length of the cycle.
    pub period_s: f64,
    /// True RMS over the cycle, mean included.
    pub rms_a: f64,
    /// Largest magnitude in the cycle.
    pub peak_a: f64,
}

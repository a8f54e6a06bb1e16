//! Harmonic lines of a periodic current, and limiting its band.
//!
//! Knows: magnitudes and phases of the harmonics of whole periods, total harmonic distortion,
//! reconstruction, band-limited synthesis. Refuses to know: where the waveform came from, meters.
//!
//! Conventions: i(t) = mean + Σ √2 I_h sin(h ω t + φ_h), t = 0 at the left edge of the first
//! sample's cell, I_h RMS, φ_h in (−π, π]; THD is relative to the fundamental and leaves the mean
//! out. What lies between the harmonics (noise, drift from period to period) is not in the lines.

mod band_limit;
mod line;
mod plans;
mod shape_lines;
#[expect(clippy::module_inception, reason = "one public type per file, named after it")]
mod spectrum;
mod transform;

pub use band_limit::band_limited;
pub use line::HarmonicLine;
pub use spectrum::Spectrum;
pub use transform::Transform;

//! Whole periods of a current on a uniform grid, and what can be said of them in the time domain.
//!
//! Knows: samples in amperes, the period, true RMS, mean, rectified mean, peak, crest and form
//! factor, and synthetic shapes with known properties. Refuses to know: where a waveform came from
//! (solved circuit, capture or synthetic shape), meters, regulators.
//!
//! Conventions: sample k stands for the cell of one sample interval around `(k + 1/2) Δt`
//! (midpoint rule), so that a jump that falls on a cell's edge costs no accuracy; means are plain
//! averages over the samples; "AC-coupled" removes the mean over the same window before anything
//! else; `arv` is the average rectified value; an undefined ratio is `None`, never 0.

mod coupling;
mod measures;
mod moments;
mod noise;
mod piece;
mod ring_down;
mod shape;
mod synthesis;
mod true_rms;
#[expect(clippy::module_inception, reason = "one public type per file, named after it")]
mod waveform;

pub use coupling::Coupling;
#[cfg(feature = "files")]
pub(crate) use measures::is_constant;
pub use measures::{CoupledMeasures, Measures};
pub use noise::Noise;
pub use ring_down::RingDown;
pub use shape::{Harmonic, Shape};
pub use synthesis::{Scale, Synthesis};
pub use true_rms::TrueRms;
pub use waveform::Waveform;

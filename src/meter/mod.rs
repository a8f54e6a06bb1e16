//! What a meter shows of a current.
//!
//! Knows: detector laws and what their indication means. Refuses to know: regulators, brightness
//! steps, verdicts.
//!
//! Conventions: a [`Reading`] carries the law that made it; only a true-RMS reading can be turned
//! into a [`TrueRms`](crate::waveform::TrueRms). The laws here are ideal: no range, no bandwidth,
//! no digits. Average and peak laws are scaled so that a pure sine reads its RMS.

mod detector;
mod indication;
#[expect(clippy::module_inception, reason = "one public type per file, named after it")]
mod meter;
mod reading;

pub use detector::Detector;
pub use indication::Indication;
pub use meter::Meter;
pub use reading::Reading;

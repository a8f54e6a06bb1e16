//! Is it this regulator? Values of the resonant source estimated from captures of its current.
//!
//! Knows: which values may be free, how a capture becomes harmonic lines with their noise, the least
//! squares on the periodic solution, what the captures can tell and what they cannot, and how well
//! the fitted regulator predicts a capture that was not used. Refuses to know: files, steps and
//! their bands, meters.
//!
//! Conventions: the residuals are the real and imaginary parts of (predicted − measured) line, each
//! over the standard uncertainty of the measured one; by Parseval's theorem their squares add up to
//! those of the samples of the band-limited period. Lines are RMS phasors, a e^{jφ} for
//! √2 a sin(hωt + φ). Of each capture two more numbers are estimated, the RMS current that was held
//! and the shift in time; the firing delay follows from the held current. A free value moves on a
//! logarithmic scale, 0 being where it started, so a standard uncertainty is relative; a supply
//! harmonic moves in units of 5 % of the fundamental. A mean of the current is not used: most clamps
//! do not show it.

mod estimate;
mod fit;
mod fit_options;
mod fitted;
mod fitted_capture;
mod lines;
mod noise;
mod notes;
mod observation;
mod parameter;
mod predict;
mod prediction;
mod problem;
mod told;

pub use estimate::Estimate;
pub use fit::fit;
pub use fit_options::FitOptions;
pub use fitted::{Answer, Fitted};
pub use fitted_capture::FittedCapture;
pub use lines::Lines;
pub use observation::Observation;
pub use parameter::Parameter;
pub use predict::predict;
pub use prediction::Prediction;
pub use told::{Combination, Told};

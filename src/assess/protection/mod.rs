//! The set-points of a regulator's protection as they are set and read: true RMS, what a meter shows
//! there, where a detector that is fooled by the shape acts instead, what it means for the lamps.
//!
//! Knows: set-points, meters, detector laws, lamps. Refuses to know: how a protection runs in time
//! (the regulator's own layer), files, screens.

mod fooled_detector;
mod set_point;
mod set_point_reading;

pub use fooled_detector::FooledDetector;
pub use set_point::SetPoint;
pub use set_point_reading::SetPointReading;

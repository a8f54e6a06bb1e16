//! The figures of a whole record.
//!
//! Knows: how a record of any length is drawn from what is kept of it: smallest and largest value of
//! each column, so that no peak is lost. Refuses to know: how it was read.

mod averaged_period;
mod clock;
mod line_spectrum;
mod rms_over_time;
mod whole_record;

pub use averaged_period::averaged_period_figure;
pub use line_spectrum::line_spectrum_figure;
pub use rms_over_time::rms_figure;
pub use whole_record::record_figure;

//! A record as a time series: every period, every half cycle, every window of 10 or 12 cycles.
//!
//! Knows: how the mains frequency is followed through a record of any length, how each period is cut
//! and brought onto a uniform grid, what is measured of it, and what is kept of a whole record in
//! constant memory. Refuses to know: files, meters, steps, what a change means (`events` does).
//!
//! Conventions: samples come in blocks, a gap is a NaN and ends every period begun before it; times
//! are in seconds after the first sample; a period begins at the rising zero crossing of its
//! fundamental unless asked otherwise. Rows come out in the order of time. The work is split into
//! windows of 10 cycles (below 55 Hz) or 12; windows of one block may be measured on several
//! threads, and the rows are the same bytes whatever their number.

mod analyser;
mod averaged_period;
mod cycle_window;
mod envelope;
mod gathering;
mod half_cycle;
mod harmonic_groups;
mod job;
mod period_options;
mod period_row;
mod period_sink;
mod period_table;
mod record_summary;
mod rms_uncertainty;
mod steady_part;
mod tracker;

pub use analyser::PeriodAnalyser;
pub use averaged_period::AveragedPeriod;
pub use cycle_window::CycleWindow;
pub use envelope::{Bucket, Envelope};
pub use half_cycle::HalfCycle;
pub use harmonic_groups::HarmonicGroups;
pub use period_options::{PeriodOptions, PeriodStart};
pub use period_row::PeriodRow;
pub use period_sink::PeriodSink;
pub use period_table::PeriodTable;
pub use record_summary::RecordSummary;
pub use rms_uncertainty::RmsUncertainty;
pub use steady_part::SteadyPart;

//! What a meter shows of a current.
//!
//! Knows: detector laws and what their indication means; the data sheet of a real meter; what a
//! meter with that sheet shows, cause by cause. Refuses to know: regulators, brightness steps,
//! verdicts.
//!
//! Conventions: a [`Reading`] carries the law that made it; only a true-RMS reading can be turned
//! into a [`TrueRms`](crate::waveform::TrueRms). A [`Detector`] by itself is ideal: no range, no
//! bandwidth, no digits; a [`Sheet`] adds those. Average and peak laws are scaled so that a pure
//! sine reads its RMS.

mod detector;
mod indication;
#[expect(clippy::module_inception, reason = "one public type per file, named after it")]
mod meter;
mod reading;
mod sheet;
mod simulation;

pub use detector::Detector;
pub use indication::Indication;
pub use meter::Meter;
pub use reading::Reading;
pub use sheet::{
    Accuracy, AccuracyLine, Archetype, Bandwidth, Certificate, Circumstances, Clamp, ClampLimit,
    ClassPoint, Converter, CrestBand, CrestCapability, FlexibleCoil, FrequencyError, Hall,
    IronCore, MeasurementCategory, Range, RangeRule, Ranges, Sheet, Temperature, TransformerClass,
    VoltageCategory, Window,
};
pub use simulation::{
    Breakdown, Cause, Conditions, Display, ErrorLimits, Signal, SimulatedReading, Simulation,
    WindowStart,
};

//! What a meter's data sheet says, as plain data.
//!
//! Knows: clamp, ranges, bandwidth, crest-factor capability, converter, digits, accuracy,
//! temperature, certificate and voltage category; which of their values contradict each other and
//! which make a reading doubtful. Refuses to know: waveforms, regulators, steps, today's date (it is
//! passed in).
//!
//! Conventions: what a sheet does not say is `None`, never 0; a limit of error is the half-width of
//! its interval, as a ratio of the reading unless the name says otherwise; a value that cannot be is
//! an [`Error`](crate::error::Error), a value that makes the meter doubtful for a use is a
//! [`Note`](crate::error::Note) that travels with every verdict.

mod accuracy;
mod accuracy_line;
mod archetype;
mod bandwidth;
mod certificate;
mod circumstances;
mod clamp;
mod clamp_limit;
mod class_point;
mod converter;
mod crest_band;
mod crest_capability;
mod findings;
mod flexible_coil;
mod frequency_error;
mod hall;
mod iron_core;
mod range;
mod range_rule;
mod ranges;
#[expect(clippy::module_inception, reason = "one public type per file, named after it")]
mod sheet;
mod temperature;
mod transformer_class;
mod voltage_category;
mod window;

pub use accuracy::Accuracy;
pub use accuracy_line::AccuracyLine;
pub use archetype::Archetype;
pub use bandwidth::Bandwidth;
pub use certificate::Certificate;
pub use circumstances::Circumstances;
pub use clamp::Clamp;
pub use clamp_limit::ClampLimit;
pub use class_point::ClassPoint;
pub use converter::Converter;
pub use crest_band::CrestBand;
pub use crest_capability::CrestCapability;
pub use flexible_coil::FlexibleCoil;
pub use frequency_error::FrequencyError;
pub use hall::Hall;
pub use iron_core::IronCore;
pub use range::Range;
pub use range_rule::RangeRule;
pub use ranges::Ranges;
pub use sheet::Sheet;
pub use temperature::Temperature;
pub use transformer_class::TransformerClass;
pub use voltage_category::{MeasurementCategory, VoltageCategory};
pub use window::Window;

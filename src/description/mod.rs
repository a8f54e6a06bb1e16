//! What a description file says: the current at each step, the step table, the meters.
//!
//! Knows: the file format (TOML, format number 1), its defaults and how to turn it into the inputs
//! of [`assess`](crate::assess). Refuses to know: how results are shown or stored.
//!
//! Conventions: every quantity with a unit is written as text, "6.6 A"; a ratio is a number or
//! "6.5 %"; unknown fields are errors that name the nearest spelling; an error names file, line,
//! column and field.

mod complaint;
#[expect(clippy::module_inception, reason = "one public type per file, named after it")]
mod description;
mod equipment_reader;
mod generic_tolerances;
mod field_place;
mod field_raw;
mod field_reader;
mod field_setup;
mod group_entry;
mod group_file;
mod group_reader;
mod meter_reader;
mod open_ratios;
mod meter_text;
mod fitted_text;
mod origin;
mod parameter;
mod parameter_place;
mod possible_currents;
mod protection_raw;
mod protection_reader;
mod protection_study;
mod quantity;
mod raw;
mod raw_tolerance;
mod reader;
mod regulator_number;
mod regulator_reader;
mod regulator_setup;
mod tolerance;
mod tolerance_reader;
mod raw_sheet;
mod sheet_reader;
mod sheet_text;

pub use complaint::{HARMONIC_RATIO, misspelt, nearest, percent_forgotten};
pub(crate) use complaint::{from_toml, place};
pub use description::Description;
pub use field_setup::FieldSetup;
pub use meter_text::read_meter;
pub use open_ratios::OpenRatios;
pub use origin::{CaptureOrigin, CurrentOrigin, ShapeOrigin, capture_settings};
pub use parameter::Parameter;
pub use protection_study::ProtectionStudy;
pub use regulator_setup::RegulatorSetup;
pub use sheet_text::sheet_text;
pub use tolerance::Tolerance;

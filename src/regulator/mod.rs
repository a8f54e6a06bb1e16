//! Constant-current regulators of series lighting circuits.
//!
//! Knows: brightness steps, their nominal RMS currents and the bands around them, each with its
//! source. Refuses to know: meters, lamps, screens.
//!
//! Conventions: steps are numbered as the trade numbers them, 1 the dimmest; currents are true RMS;
//! a band includes both of its edges.

mod band;
mod band_set;
mod circuit_class;
mod published;
mod step;
mod step_table;

pub use band::{Band, Placement};
pub use band_set::BandSet;
pub use circuit_class::CircuitClass;
pub use step::Step;
pub use step_table::StepTable;

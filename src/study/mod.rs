//! A description varied: every number of it as a parameter, grids and random samples, tables on disk.
//!
//! Knows: descriptions and what is computed from them. Refuses to know: screens.
//!
//! Conventions: one circuit is the description with some of its numbers changed, solved at every
//! brightness step; circuits are numbered from 0 and found by their number alone, so that parts,
//! threads and interruptions change nothing; within a circuit the steps go from the brightest down.
//! A step that cannot be held is a result, never an error.

mod axis;
mod cell;
mod columns;
mod csv_text;
mod design;
mod circuit_estimate;
mod estimate_options;
mod estimate_plan;
mod estimate_run;
mod estimated_output;
mod in_order;
mod json_lines_text;
mod output_estimate;
mod output_trace;
mod parquet_table;
mod part;
mod progress;
mod row_text;
mod solved_step;
mod step_estimate;
mod step_outcome;
mod sweep;
mod sweep_end;
mod sweep_files;
mod table_format;
mod text_table;
mod varied_circuit;

pub use axis::Axis;
pub use cell::Cell;
pub use circuit_estimate::CircuitEstimate;
pub use columns::{ColumnKind, Columns};
pub use csv_text::CsvText;
pub use design::Design;
pub use estimate_options::EstimateOptions;
pub use estimated_output::EstimatedOutput;
pub use json_lines_text::JsonLinesText;
pub use output_estimate::{ConvergencePoint, OutputEstimate};
pub use part::Part;
pub use progress::Progress;
pub use row_text::RowText;
pub use step_estimate::StepEstimate;
pub use step_outcome::{StepOutcome, StepState};
pub use sweep::Sweep;
pub use sweep_end::SweepEnd;
pub use table_format::TableFormat;
pub use varied_circuit::VariedCircuit;

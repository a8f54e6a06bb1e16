//! The field: what a series circuit is made of, and what it asks of the regulator.
//!
//! Knows: cable, isolating transformers, lamps and electronic fixtures, open and shorted
//! secondaries, faults; the field as a load of the regulator and its operating points; how the
//! current's shape grows with lamps out, and what a measured shape says about them; conductors, and
//! the load calculation by adding watts and volt-amperes. Refuses to know: meters (an
//! average-responding error is a property of the current here), files, screens.
//!
//! Conventions: counts are fixtures, that is secondaries; currents, resistances and fluxes of a
//! transformer are referred to its primary unless the name says secondary; the turns ratio is
//! primary over secondary. Every generic value is ours and describes nobody's product.

mod apparent_fixture;
mod cable_run;
mod constant_power_fixture;
mod field;
mod field_answer;
mod field_chain;
mod field_fault;
mod field_hold;
mod field_load;
mod field_point;
mod field_power;
mod field_reach;
mod field_table;
mod field_table_row;
mod filament_lamp;
mod fixture_group;
mod fixture_kind;
mod group_point;
mod isolating_transformer;
mod lamps_out;
mod lamps_out_estimate;
mod lamps_out_point;
mod lamps_out_shape;
mod lamps_out_sweep;
mod lit_class;
mod measured_shape;
mod occupancy;
mod open_class;
mod rectifier_class;
mod rectifier_fixture;
mod shape_quantity;

pub use apparent_fixture::ApparentFixture;
pub use cable_run::CableRun;
pub use constant_power_fixture::ConstantPowerFixture;
pub use field::Field;
pub use field_answer::FieldAnswer;
pub use field_fault::FieldFault;
pub use field_load::FieldLoad;
pub use field_point::FieldPoint;
pub use field_power::FieldPower;
pub use field_reach::FieldReach;
pub use field_table::FieldTable;
pub use field_table_row::FieldTableRow;
pub use filament_lamp::FilamentLamp;
pub use fixture_group::FixtureGroup;
pub use fixture_kind::FixtureKind;
pub use group_point::GroupPoint;
pub use isolating_transformer::IsolatingTransformer;
pub use lamps_out::LampsOut;
pub use lamps_out_estimate::LampsOutEstimate;
pub use lamps_out_point::LampsOutPoint;
pub use lamps_out_shape::LampsOutShape;
pub use lamps_out_sweep::LampsOutSweep;
pub use measured_shape::MeasuredShape;
pub use rectifier_fixture::RectifierFixture;
pub use shape_quantity::ShapeQuantity;

mod conductor;
mod conductor_size;
mod conductor_table;
mod draw;
mod lamp_tolerance;
mod load_calculation;
mod load_comparison;
mod load_diagnosis;
mod load_item;
mod load_margin;
mod load_sum;
mod load_term;
mod measured_load;
mod rectifier_power;
mod regulator_sizes;
mod transformer_loss;

pub use conductor::Conductor;
pub use conductor_size::ConductorSize;
pub use draw::Draw;
pub use lamp_tolerance::LampTolerance;
pub use load_calculation::LoadCalculation;
pub use load_comparison::LoadComparison;
pub use load_diagnosis::LoadDiagnosis;
pub use load_item::LoadItem;
pub use load_margin::LoadMargin;
pub use load_sum::LoadSum;
pub use load_term::LoadTerm;
pub use measured_load::MeasuredLoad;
pub use regulator_sizes::RegulatorSizes;
pub use transformer_loss::TransformerLoss;

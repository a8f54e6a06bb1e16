//! A real meter, known by its data sheet, against a brightness step: how well its reading is known,
//! what may be decided from it, what to buy.
//!
//! Knows: simulated readings, uncertainty budgets, bands. Refuses to know: files, screens, brands.
//!
//! Conventions: *shown* amperes are those on the display, *true* ones flow. The gain of a meter on a
//! current is shown over true before the digits; over all currents that are possible at a step it
//! spreads from a lowest to a highest, and everything between is as likely as anything else. The
//! reading of a true-RMS meter is corrected by the middle of that spread. That of any other meter is
//! judged as it stands: its correction holds for one waveform alone.

mod circuit_currents;
mod comparison;
mod comparison_cell;
mod connection;
mod contributor;
mod corrected_display;
mod corrected_reading;
mod demand;
mod doubts;
mod gain_spread;
#[expect(clippy::module_inception, reason = "one public type per file, named after it")]
mod instrument;
mod ladders;
mod possible_current;
mod purchase_text;
mod reading_decision;
mod reason;
mod requirement;
mod rule_decision;
mod scatter;
mod set_band;
mod shown_current;
mod step_currents;
mod suitability;
mod terms;
mod verdict;

pub use circuit_currents::CircuitCurrents;
pub use comparison::Comparison;
pub use comparison_cell::ComparisonCell;
pub use connection::Connection;
pub use contributor::Contributor;
pub use corrected_display::CorrectedDisplay;
pub use corrected_reading::CorrectedReading;
pub use gain_spread::GainSpread;
pub use instrument::Instrument;
pub use possible_current::PossibleCurrent;
pub use reading_decision::ReadingDecision;
pub use reason::Reason;
pub use requirement::Requirement;
pub use rule_decision::RuleDecision;
pub use scatter::Scatter;
pub use set_band::SetBand;
pub use shown_current::ShownCurrent;
pub use step_currents::StepCurrents;
pub use suitability::Suitability;
pub use terms::Terms;
pub use verdict::Verdict;

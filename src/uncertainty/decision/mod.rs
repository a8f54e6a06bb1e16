//! What may be decided from a measured value that is not exactly known.
//!
//! Knows: tolerance limits, probabilities of conformance, guard bands, specific and global risks.
//! Refuses to know: how a value was measured.
//!
//! Conventions: a *tolerance* limit bounds what the true value may be, an *acceptance* limit what the
//! measured value may be; a guard band is the distance from the first inwards to the second, negative
//! when the second lies outside. Risks are probabilities between 0 and 1.
//!
//! Sources: JCGM 106:2012; ILAC-G8:09/2019.

mod acceptance;
mod global_risk;
mod guard_band;
mod knowledge;
mod limits;
mod outcome;
mod ratio_definition;
mod specific_risk;
mod test_ratio;

pub use acceptance::Acceptance;
pub use global_risk::GlobalRisk;
pub use guard_band::GuardBand;
pub use knowledge::Knowledge;
pub use limits::Limits;
pub use outcome::Outcome;
pub use ratio_definition::RatioDefinition;
pub use specific_risk::SpecificRisk;
pub use test_ratio::TestRatio;

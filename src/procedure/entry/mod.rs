//! What can be written into a logbook: one type per kind of entry, as it stands in files.
//!
//! Conventions: names of fields are those of the JSON; what is not known is left out, never 0; days
//! are days of the place, moments are in UTC.

mod certificate_card;
mod circuit_card;
mod closing;
mod conditions;
mod confirmation;
#[expect(clippy::module_inception, reason = "one public type per file, named after it")]
mod entry;
mod judgement;
mod meter_card;
mod meter_doubt;
mod moment;
mod opening;
mod output;
mod protection_kind;
mod protection_proof;
mod reading_doubt;
mod reading_taken;
mod regulator_card;

pub use certificate_card::CertificateCard;
pub use circuit_card::CircuitCard;
pub use closing::Closing;
pub use conditions::Conditions;
pub use confirmation::Confirmation;
pub use entry::Entry;
pub use judgement::Judgement;
pub use meter_card::MeterCard;
pub use meter_doubt::MeterDoubt;
pub use moment::Moment;
pub use opening::Opening;
pub use output::Output;
pub use protection_kind::ProtectionKind;
pub use protection_proof::ProtectionProof;
pub use reading_doubt::ReadingDoubt;
pub use reading_taken::ReadingTaken;
pub use regulator_card::RegulatorCard;

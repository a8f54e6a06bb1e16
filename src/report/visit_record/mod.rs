//! The record of a visit: what was found, set and left, with everything it rests on.
//!
//! Knows: how a visit is told, as a document and as pages. Refuses to know: where entries are kept,
//! how pages are set.
//!
//! Conventions: judgements are those written down on the day; what nobody read, said or measured is
//! absent and said to be absent.

mod answer_part;
mod cards;
mod correction_part;
mod difference_part;
mod entry_words;
mod meter_doubt_part;
#[cfg(feature = "paper")]
mod pages;
mod proof_part;
#[cfg(feature = "paper")]
mod trail;
mod visit_reading_part;
mod visit_record_document;

pub use answer_part::{AnswerPart, EarlierAnswerPart};
pub use cards::VisitCards;
pub use correction_part::CorrectionPart;
pub use difference_part::DifferencePart;
#[cfg(feature = "paper")]
pub(super) use entry_words::display_span;
pub use meter_doubt_part::MeterDoubtPart;
#[cfg(feature = "paper")]
pub(super) use pages::CAUTION_HEAD;
#[cfg(feature = "paper")]
pub use pages::{visit_figures, visit_writing};
pub use proof_part::ProofPart;
pub use visit_reading_part::{DoubtPart, VisitReadingPart};
pub use visit_record_document::{
    CertificatePart, ClosingPart, ConditionsPart, RemarkPart, SetPart, VisitRecordDocument,
    VisitStepPart,
};

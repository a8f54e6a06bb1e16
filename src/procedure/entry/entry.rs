use serde::{Deserialize, Serialize};

use super::{
    CertificateCard, CircuitCard, Closing, Confirmation, MeterCard, MeterDoubt, Opening,
    ProtectionProof, ReadingTaken, RegulatorCard,
};

/// One thing that was entered, done or read.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Entry {
    /// A regulator is known from now on, or known better.
    Regulator(RegulatorCard),
    /// A circuit is known from now on, or known better.
    Circuit(CircuitCard),
    /// A meter is known from now on, or known better.
    Meter(MeterCard),
    /// A meter has a certificate.
    Certificate(CertificateCard),
    /// A meter was found to read wrong.
    MeterDoubt(MeterDoubt),
    /// A visit begins.
    Opening(Box<Opening>),
    /// Something of the procedure was confirmed or answered.
    Confirmation(Confirmation),
    /// A number was read from the meter.
    Reading(Box<ReadingTaken>),
    /// A protection was tried.
    Protection(ProtectionProof),
    /// Something worth writing down.
    Remark {
        /// What was said.
        text: String,
    },
    /// An entry was made by mistake; what it said counts no more.
    Withdrawal {
        /// Why.
        reason: String,
    },
    /// A visit ends.
    Closing(Closing),
}

impl Entry {
    /// The name of its kind, as in files.
    #[must_use]
    pub fn kind(&self) -> &'static str {
        match self {
            Self::Regulator(_) => "regulator",
            Self::Circuit(_) => "circuit",
            Self::Meter(_) => "meter",
            Self::Certificate(_) => "certificate",
            Self::MeterDoubt(_) => "meter-doubt",
            Self::Opening(_) => "opening",
            Self::Confirmation(_) => "confirmation",
            Self::Reading(_) => "reading",
            Self::Protection(_) => "protection",
            Self::Remark { .. } => "remark",
            Self::Withdrawal { .. } => "withdrawal",
            Self::Closing(_) => "closing",
        }
    }

    /// Whether it belongs to a visit.
    #[must_use]
    pub fn is_of_visit(&self) -> bool {
        !matches!(
            self,
            Self::Regulator(_)
                | Self::Circuit(_)
                | Self::Meter(_)
                | Self::Certificate(_)
                | Self::MeterDoubt(_)
        )
    }
}

use crate::error::{Error, Result};

use super::entry::{
    Closing, Confirmation, Moment, Opening, Output, ProtectionKind, ProtectionProof, ReadingTaken,
};
use super::{Entry, LoggedEntry, VisitState};

/// A visit: what its entries add up to. An entry that replaces another stands in its place; what was
/// replaced is still there in [`Self::entries`].
#[derive(Clone, Debug, PartialEq)]
pub struct Visit {
    opening: Opening,
    entries: Vec<LoggedEntry>,
    counting: Vec<usize>,
}

impl Visit {
    /// Adds up the entries of one visit, in the order they were written.
    ///
    /// # Errors
    /// `Inconsistent` when the first is no opening, when an entry belongs elsewhere, or when one
    /// replaces an entry that is not there before it or is itself replaced.
    pub fn from_entries(entries: Vec<LoggedEntry>) -> Result<Self> {
        let first = entries.first().ok_or_else(|| Error::inconsistent("a visit has no entry"))?;
        let Entry::Opening(opening) = &first.entry else {
            return Err(Error::inconsistent(format!(
                "entry {} begins a visit but is a {}",
                first.number,
                first.entry.kind()
            )));
        };
        let (number, mut opening) = (first.number, (**opening).clone());
        let mut slots: Vec<Option<usize>> = Vec::with_capacity(entries.len());
        for (place, logged) in entries.iter().enumerate() {
            if logged.visit != Some(number) {
                return Err(Error::inconsistent(format!(
                    "entry {} is not of visit {number}",
                    logged.number
                )));
            }
            let Some(old) = logged.replaces else {
                slots.push(Some(place));
                continue;
            };
            let holds_old = |slot: &&mut Option<usize>| {
                slot.is_some_and(|occupant| entries[occupant].number == old)
            };
            let slot = slots.iter_mut().find(holds_old).ok_or_else(|| {
                Error::inconsistent(format!(
                    "entry {} replaces entry {old}, which does not count in visit {number}",
                    logged.number
                ))
            })?;
            *slot = (!matches!(logged.entry, Entry::Withdrawal { .. })).then_some(place);
            if let Entry::Opening(corrected) = &logged.entry {
                opening = (**corrected).clone();
            }
        }
        let counting = slots.into_iter().flatten().collect();
        Ok(Self { opening, entries, counting })
    }

    /// Number of the visit: that of the entry that opened it.
    #[must_use]
    pub fn number(&self) -> u64 {
        self.entries[0].number
    }

    /// What it began with, as corrected since.
    #[must_use]
    pub fn opening(&self) -> &Opening {
        &self.opening
    }

    /// Every entry, replaced ones too, in the order they were written.
    #[must_use]
    pub fn entries(&self) -> &[LoggedEntry] {
        &self.entries
    }

    /// The entries that count, a correction at the place of the entry it replaces.
    pub fn counting(&self) -> impl DoubleEndedIterator<Item = &LoggedEntry> {
        self.counting.iter().map(|&place| &self.entries[place])
    }

    /// The readings that count, in the order they were taken.
    pub fn readings(&self) -> impl DoubleEndedIterator<Item = (&LoggedEntry, &ReadingTaken)> {
        self.counting().filter_map(|logged| match &logged.entry {
            Entry::Reading(reading) => Some((logged, reading.as_ref())),
            _ => None,
        })
    }

    /// The reading that counts at a step: as found the first one taken, as left the last.
    #[must_use]
    pub fn reading(&self, step: u32, moment: Moment, output: Output) -> Option<&ReadingTaken> {
        let mut found = self.readings().map(|(_, reading)| reading).filter(|reading| {
            reading.step == step && reading.moment == moment && reading.output == output
        });
        match moment {
            Moment::AsFound => found.next(),
            Moment::AsLeft => found.next_back(),
        }
    }

    /// The last answer to an item of the procedure.
    #[must_use]
    pub fn confirmation(&self, item: &str) -> Option<&Confirmation> {
        self.counting().rev().find_map(|logged| match &logged.entry {
            Entry::Confirmation(confirmation) if confirmation.item == item => Some(confirmation),
            _ => None,
        })
    }

    /// Every trial of a protection that counts, in order.
    pub fn proofs(&self, kind: ProtectionKind) -> impl Iterator<Item = &ProtectionProof> {
        self.counting().filter_map(move |logged| match &logged.entry {
            Entry::Protection(proof) if proof.protection == kind => Some(proof),
            _ => None,
        })
    }

    /// What it was closed with.
    #[must_use]
    pub fn closing(&self) -> Option<&Closing> {
        self.counting().rev().find_map(|logged| match &logged.entry {
            Entry::Closing(closing) => Some(closing),
            _ => None,
        })
    }

    /// How far it is.
    #[must_use]
    pub fn state(&self) -> VisitState {
        match self.closing() {
            None => VisitState::Open,
            Some(closing) if closing.complete => VisitState::Complete,
            Some(_) => VisitState::Broken,
        }
    }
}

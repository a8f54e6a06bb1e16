//! Looking at a part of the chain only: quick enough to be done before anything is told or added.

use crate::error::{Error, Result};

use super::stored_entry::StoredEntry;
use super::trouble::{Attempt, InLogbook};
use super::{Logbook, Misfit, chain, schema};

/// How many entries at the end are looked at before another one is added.
const LOOKED_AT: u64 = 100;

impl Logbook {
    /// The first entry of a visit that is not as it was written, or not tied to those before and behind
    /// it; `None` when all of the visit holds. [`Self::verify`] looks through the rest.
    ///
    /// # Errors
    /// `Inconsistent` when there is no such visit; `Io`.
    pub fn misfit_of_visit(&self, visit: u64) -> Result<Option<Misfit>> {
        let look = || -> Attempt<Option<Misfit>> {
            for stored in self.stored_of_visit(visit)? {
                if let Some(text) = self.loose(&stored)? {
                    return Ok(Some(Misfit { number: Some(stored.number), code: "chain", text }));
                }
            }
            Ok(None)
        };
        look().in_logbook(self.path())
    }

    /// The same for every visit to a regulator.
    ///
    /// # Errors
    /// As [`Self::visits_of`].
    pub fn misfit_of_regulator(&self, regulator: &str) -> Result<Option<Misfit>> {
        for row in self.visits_of(regulator)? {
            if let Some(misfit) = self.misfit_of_visit(row.number)? {
                return Ok(Some(misfit));
            }
        }
        Ok(None)
    }

    /// Refuses a logbook whose last entries are not as they were written, or whose guards against a
    /// change were taken away: nothing is added behind a broken chain.
    ///
    /// # Errors
    /// `Inconsistent`, with what does not fit; `Io`.
    pub fn check_end(&self) -> Result<()> {
        match self.misfit_at_end().in_logbook(self.path())? {
            None => Ok(()),
            Some(misfit) => Err(Self::refused(&misfit).in_file(self.path())),
        }
    }

    /// What is said where something is not as it was written.
    #[must_use]
    pub fn refused(misfit: &Misfit) -> Error {
        Error::inconsistent(format!("NOT as it was written: {}", misfit.text)).with_hint(
            "`loopcrest logbook verify` looks through all of it; restore the last backup",
        )
    }

    fn misfit_at_end(&self) -> Attempt<Option<Misfit>> {
        if let Some(name) = schema::missing_guard(&self.connection)? {
            let text = format!("\"{name}\" is missing: another program altered the file");
            return Ok(Some(Misfit { number: None, code: "guards", text }));
        }
        let Some(last) = StoredEntry::last(&self.connection)? else { return Ok(None) };
        for number in last.number.saturating_sub(LOOKED_AT).max(1)..=last.number {
            let Some(stored) = StoredEntry::find(&self.connection, number)? else {
                let text = format!("entry {number} is missing");
                return Ok(Some(Misfit { number: Some(number), code: "chain", text }));
            };
            if let Some(text) = self.loose(&stored)? {
                return Ok(Some(Misfit { number: Some(number), code: "chain", text }));
            }
        }
        Ok(None)
    }

    /// Why an entry does not fit between its neighbours.
    fn loose(&self, stored: &StoredEntry) -> Attempt<Option<String>> {
        let number = stored.number;
        if chain::hash_of(stored) != stored.hash {
            let text = format!("entry {number} is not as it was written: its hash does not fit it");
            return Ok(Some(text));
        }
        let before = match number.saturating_sub(1) {
            0 => Some(chain::OF_NOTHING.to_owned()),
            earlier => StoredEntry::hashes(&self.connection, earlier)?.map(|(hash, _)| hash),
        };
        if before.as_ref() != Some(&stored.previous_hash) {
            return Ok(Some(format!(
                "entry {number} was not written behind entry {} as that stands here",
                number.saturating_sub(1)
            )));
        }
        let number = number + 1;
        let behind = StoredEntry::hashes(&self.connection, number)?;
        Ok(behind.filter(|(_, previous)| *previous != stored.hash).map(|_| {
            format!(
                "entry {number} was not written behind entry {} as that stands here",
                stored.number
            )
        }))
    }
}

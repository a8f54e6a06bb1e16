use toml::Spanned;

use crate::cited::Source;
use crate::error::{Error, Result};
use crate::regulator::protection::{
    OpenCircuit, OvercurrentStage, Protection, ProtectionLaw, ResetRule, TimeLimit,
};

use super::protection_raw::{RawOpenCircuit, RawOvercurrent, RawProtection};
use super::quantity::Seconds;
use super::reader::Reader;

impl Reader<'_> {
    /// What the file says of the protection; our defaults where it says nothing. Stages given replace
    /// all of ours.
    pub(super) fn protection(&self, raw: Option<&Spanned<RawProtection>>) -> Result<Protection> {
        let mut protection = Protection::default();
        let Some(whole) = raw else { return Ok(protection) };
        let raw = whole.get_ref();
        if let Some(word) = &raw.detector {
            protection.law = ProtectionLaw::from_key(word.get_ref())
                .ok_or_else(|| self.unknown_word(word, &ProtectionLaw::ALL.map(|law| law.key())))?;
        }
        if let Some(window) = &raw.window_half_cycles {
            let bounds = Protection::WINDOW_HALF_CYCLES;
            protection.window_half_cycles =
                self.bounded(window, |n| f64::from(*n), bounds)? as usize;
        }
        if let Some(word) = &raw.reset {
            protection.reset = ResetRule::from_key(word.get_ref())
                .ok_or_else(|| self.unknown_word(word, &ResetRule::ALL.map(|rule| rule.key())))?;
        }
        if let Some(stages) = &raw.overcurrent {
            protection.stages = stages
                .get_ref()
                .iter()
                .map(|stage| self.overcurrent(stage))
                .collect::<Result<_>>()?;
        }
        if let Some(open) = &raw.open_circuit {
            protection.open_circuit = Some(self.open_circuit(open)?);
        }
        protection.check().map_err(|error| self.at(whole, error))?;
        Ok(protection)
    }

    fn overcurrent(&self, spanned: &Spanned<RawOvercurrent>) -> Result<OvercurrentStage> {
        let raw = spanned.get_ref();
        let pickup_ratio = self.bounded(&raw.pickup, |r| r.0, OvercurrentStage::PICKUP_RATIO)?;
        let delay_s = self.bounded(&raw.delay, |s| s.0, OvercurrentStage::DELAY_S)?;
        let limit = self.time_limit(&raw.shortest, &raw.longest, raw.source.as_ref())?;
        let tried = match (&raw.tried_at, limit) {
            (Some(tried), Some(limit)) => {
                Some((self.bounded(tried, |r| r.0, OvercurrentStage::TRIED_RATIO)?, limit))
            }
            (None, None) => None,
            (Some(tried), None) => {
                let error =
                    Error::malformed("`shortest` or `longest` beside `tried-at`", "neither");
                return Err(self.at(tried, error));
            }
            (None, Some(_)) => {
                let error = Error::malformed(
                    "`tried-at`, the current at which these times are asked for",
                    "none",
                );
                return Err(self.at(spanned, error));
            }
        };
        let within = raw.tried_within.as_ref();
        if let (Some(within), None) = (within, &raw.tried_at) {
            let error = Error::malformed("`tried-at` beside `tried-within`", "none");
            return Err(self.at(within, error));
        }
        let tried_within_ratio = within
            .map(|within| self.bounded(within, |r| r.0, OvercurrentStage::WITHIN_RATIO))
            .transpose()?;
        let stage = OvercurrentStage { pickup_ratio, delay_s, tried, tried_within_ratio };
        stage.check().map_err(|error| self.at(&raw.pickup, error))?;
        Ok(stage)
    }

    fn open_circuit(&self, spanned: &Spanned<RawOpenCircuit>) -> Result<OpenCircuit> {
        let raw = spanned.get_ref();
        Ok(OpenCircuit {
            below_ratio: self.bounded(&raw.below, |r| r.0, OpenCircuit::BELOW_RATIO)?,
            delay_s: self.bounded(&raw.delay, |s| s.0, OvercurrentStage::DELAY_S)?,
            limit: self.time_limit(&raw.shortest, &raw.longest, raw.source.as_ref())?,
        })
    }

    fn time_limit(
        &self,
        shortest: &Option<Spanned<Seconds>>,
        longest: &Option<Spanned<Seconds>>,
        source: Option<&Spanned<String>>,
    ) -> Result<Option<TimeLimit>> {
        let read = |field: &Option<Spanned<Seconds>>| {
            let field = field.as_ref();
            field.map(|field| self.bounded(field, |s| s.0, TimeLimit::TIME_S)).transpose()
        };
        let Some(first) = shortest.as_ref().or(longest.as_ref()) else { return Ok(None) };
        let source = source.ok_or_else(|| {
            let error = Error::malformed("the `source` of these times", "none");
            self.at(first, error.with_hint("say where the limit comes from, or \"no source\""))
        })?;
        let limit = TimeLimit {
            shortest_s: read(shortest)?,
            longest_s: read(longest)?,
            source: Source::entered(self.filled(source, "the source of the times")?.to_owned()),
        };
        limit.check().map_err(|error| self.at(first, error))?;
        Ok(Some(limit))
    }
}

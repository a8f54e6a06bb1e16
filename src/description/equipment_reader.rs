use toml::Spanned;

use crate::cited::{Cited, Source};
use crate::error::{Error, Result};
use crate::lamp::LampLaw;
use crate::regulator::{Band, StepTable};
use crate::waveform::TrueRms;

use super::Description;
use super::raw::{RawDescription, RawLamps};
use super::reader::Reader;

impl Reader<'_> {
    pub(super) fn lamps(&self, raw: &RawLamps) -> Result<LampLaw> {
        let mut law = LampLaw::default();
        let source = match &raw.source {
            Some(source) => self.filled(source, "the source of the exponents")?,
            None => "no source given",
        };
        let source = Source::entered(source.to_owned());
        let entered = |field: &Option<Spanned<f64>>, law: &mut Cited<f64>| -> Result<()> {
            if let Some(field) = field {
                let value = self.bounded(field, |n| *n, Description::EXPONENT)?;
                *law = Cited { value, source: source.clone() };
            }
            Ok(())
        };
        entered(&raw.light_exponent, &mut law.light_exponent)?;
        entered(&raw.life_exponent, &mut law.life_exponent)?;
        entered(&raw.current_exponent, &mut law.current_exponent)?;
        if law.current_exponent.value <= 0.0 {
            let error = Error::inconsistent("the current exponent of a lamp is above zero");
            return Err(match &raw.current_exponent {
                Some(field) => self.at(field, error),
                None => error,
            });
        }
        Ok(law)
    }

    pub(super) fn rated_current(
        &self,
        raw: &RawDescription,
        steps: &StepTable,
    ) -> Result<Option<TrueRms>> {
        match &raw.lamps.rated_current {
            Some(rated) => {
                self.bounded(rated, |a| a.0, Band::EDGE_A).map(|a| Some(TrueRms::stated_a(a)))
            }
            // The top of somebody's own list need not be what the lamps are made for.
            None => Ok(raw.steps.get_ref().circuit.as_ref().map(|_| steps.top().nominal)),
        }
    }
}

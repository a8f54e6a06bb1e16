use toml::Spanned;

use crate::cited::{Cited, Source};
use crate::error::{Error, Result};
use crate::lamp::LampLaw;
use crate::meter::{Detector, Meter};
use crate::regulator::{Band, StepTable};
use crate::waveform::TrueRms;

use super::Description;
use super::complaint::place;
use super::raw::{RawDescription, RawLamps, RawMeter};
use super::reader::Reader;

/// Longest name of a meter: two of them and a verdict fit beside each other on a screen.
const MAX_NAME_CHARACTERS: usize = 40;

/// Words of meters' data sheets for detector laws, where the spelling alone is too far off.
const COMMON_WORDS: [(&str, &str); 9] = [
    ("trms", "true-rms"),
    ("rms", "true-rms"),
    ("truerms", "true-rms"),
    ("true", "true-rms"),
    ("mean", "average"),
    ("avg", "average"),
    ("average-responding", "average"),
    ("peak-responding", "peak"),
    ("moving-coil", "rectifier-coil"),
];

impl Reader<'_> {
    pub(super) fn meters(&self, raw: &[RawMeter]) -> Result<Vec<Meter>> {
        if raw.is_empty() {
            return Err(Error::malformed("at least one [[meter]]", "none"));
        }
        let mut meters: Vec<Meter> = Vec::with_capacity(raw.len());
        for entry in raw {
            let name = self.filled(&entry.name, "a name for the meter")?;
            let length = name.chars().count();
            if length > MAX_NAME_CHARACTERS || name.chars().any(char::is_control) {
                let expected = format!(
                    "a name of one line and at most {MAX_NAME_CHARACTERS} characters for the meter"
                );
                let found = if length > MAX_NAME_CHARACTERS {
                    format!("{length} characters")
                } else {
                    format!("{name:?}")
                };
                return Err(self.at(&entry.name, Error::malformed(expected, found)));
            }
            if meters.iter().any(|known| known.name == name) {
                let error = Error::inconsistent(format!("two meters are named \"{name}\""));
                return Err(self.at(&entry.name, error));
            }
            let detector = self.detector(&entry.detector)?;
            meters.push(Meter::ideal(name, detector));
        }
        Ok(meters)
    }

    fn detector(&self, raw: &Spanned<String>) -> Result<Detector> {
        let typed = raw.get_ref().trim();
        let key = typed.to_lowercase().replace([' ', '_'], "-");
        Detector::from_key(&key).ok_or_else(|| {
            let keys = Detector::ALL.map(Detector::key);
            let error = self.unknown_word(raw, &keys);
            match COMMON_WORDS.iter().find(|(word, _)| *word == key) {
                Some((_, meant)) => {
                    Error::malformed(format!("one of {}", keys.join(", ")), format!("\"{typed}\""))
                        .with_hint(format!("did you mean \"{meant}\"?"))
                        .at(place(self.text, raw.span()))
                }
                None => error,
            }
        })
    }

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

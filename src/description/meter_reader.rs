use toml::Spanned;

use crate::error::{Error, Result};
use crate::meter::{Archetype, Detector, Meter, Sheet};

use super::complaint::place;
use super::raw::RawMeter;
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
    pub(super) fn meters(&self, raw: &[RawMeter], mains_hz: f64) -> Result<Vec<Meter>> {
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
            meters.push(self.meter(name, entry, mains_hz)?);
        }
        Ok(meters)
    }

    /// A meter by its law alone, or with the sheet of its kind, its own entries counting first.
    fn meter(&self, name: &str, raw: &RawMeter, mains_hz: f64) -> Result<Meter> {
        let detector = raw.detector.as_ref().map(|word| self.detector(word)).transpose()?;
        let kind = raw.archetype.as_ref().map(|word| self.archetype(word)).transpose()?;
        let base = match (kind, detector) {
            (Some(kind), None) => kind.sheet(),
            (Some(kind), Some(detector)) => Sheet { detector, ..kind.sheet() },
            (None, Some(detector)) if raw.sheet.is_none() => {
                return Ok(Meter::ideal(name, detector));
            }
            (None, Some(detector)) => Sheet::ideal(detector),
            (None, None) => {
                let error = Error::malformed("a `detector` or an `archetype`", "neither")
                    .with_hint("`loopcrest meters` lists the archetypes");
                return Err(self.at(&raw.name, error));
            }
        };
        let sheet = match &raw.sheet {
            Some(entries) => self.sheet(base, entries, kind.is_some())?,
            None => base,
        };
        sheet.check(mains_hz).map_err(|error| match (&raw.sheet, &raw.archetype) {
            (Some(entries), _) => self.at(entries, error),
            (None, Some(word)) => self.at(word, error),
            (None, None) => self.at(&raw.name, error),
        })?;
        Ok(Meter::with_sheet(name, sheet))
    }

    fn archetype(&self, raw: &Spanned<String>) -> Result<Archetype> {
        Archetype::from_key(raw.get_ref().trim())
            .ok_or_else(|| self.unknown_word(raw, &Archetype::ALL.map(Archetype::key)))
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
}

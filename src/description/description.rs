use std::path::Path;

use crate::assess::{StepCase, Survey};
use crate::error::{Bounds, Error, Noted, Result};
use crate::lamp::LampLaw;
use crate::meter::Meter;
use crate::regulator::{Step, StepTable};
use crate::waveform::TrueRms;

use super::complaint::from_toml;
use super::origin::CurrentOrigin;
use super::raw::RawDescription;
use super::reader::Reader;

/// A checked description: everything the main job needs.
#[derive(Clone, Debug, PartialEq)]
pub struct Description {
    /// The user's title.
    pub title: String,
    /// Whether place, equipment and numbers are made up.
    pub is_invented: bool,
    /// Mains frequency.
    pub frequency_hz: f64,
    /// The brightness steps.
    pub steps: StepTable,
    /// The meters, in the order of the file.
    pub meters: Vec<Meter>,
    /// The lamp laws.
    pub lamp: LampLaw,
    /// The current of each step, in the order of `steps`.
    pub currents: Vec<CurrentOrigin>,
}

impl Description {
    /// The one format number this program reads.
    pub const FORMAT: i64 = 1;
    /// Mains frequency of a description.
    pub const FREQUENCY_HZ: Bounds = Bounds::new("mains frequency", "Hz", 40.0, 70.0);
    /// Exponents of the lamp laws.
    pub const EXPONENT: Bounds = Bounds::new("exponent of a lamp law", "", -40.0, 40.0);
    /// Largest description file that is read.
    const MAX_BYTES: u64 = 4 << 20;
    /// The embedded example: a commented file to begin from.
    pub const EMBEDDED_TEXT: &'static str = include_str!("embedded.toml");

    /// The embedded example: an invented aerodrome circuit.
    #[must_use]
    pub fn embedded() -> Self {
        Self::parse(Self::EMBEDDED_TEXT, Path::new(""))
            .expect("the embedded description is read by a test")
    }

    /// Reads a description file; files it names are looked for beside it.
    ///
    /// # Errors
    /// `Io` when it cannot be read; otherwise as [`Self::parse`], with the file named.
    pub fn read(file: &Path) -> Result<Self> {
        Self::parse(&Self::text_of(file)?, file.parent().unwrap_or(Path::new("")))
            .map_err(|error| error.in_file(file))
    }

    /// The text of a description file.
    ///
    /// # Errors
    /// `Io` when it cannot be read; `Malformed` when it is too large or not UTF-8.
    pub fn text_of(file: &Path) -> Result<String> {
        let size = std::fs::metadata(file).map_err(|source| Error::io(file, source))?.len();
        if size > Self::MAX_BYTES {
            return Err(Error::malformed(
                format!("a description of at most {} bytes", Self::MAX_BYTES),
                format!("{size} bytes"),
            )
            .in_file(file)
            .with_hint("is this a capture? `loopcrest capture` reads those"));
        }
        let bytes = std::fs::read(file).map_err(|source| Error::io(file, source))?;
        String::from_utf8(bytes).map_err(|error| {
            Error::malformed(
                "text in UTF-8",
                format!("other bytes at position {}", error.utf8_error().valid_up_to()),
            )
            .in_file(file)
        })
    }

    /// Reads the text of a description; files it names are looked for in `folder`.
    ///
    /// # Errors
    /// `Malformed`, `OutOfRange` or `Inconsistent`, with line, column and field.
    pub fn parse(text: &str, folder: &Path) -> Result<Self> {
        let raw: RawDescription =
            toml::from_str(text).map_err(|complaint| from_toml(text, &complaint))?;
        Reader { text, folder }.description(&raw)
    }

    /// The current of every step, scaled to its nominal, with what was noticed on the way.
    ///
    /// # Errors
    /// When a capture cannot be read or a shape cannot be made, with the step named.
    pub fn cases(&self) -> Result<Noted<Vec<StepCase>>> {
        let mut cases = Vec::with_capacity(self.currents.len());
        let mut notes = Vec::new();
        for (step, origin) in self.steps.steps().iter().zip(&self.currents) {
            let case = self
                .case(step, origin)
                .map_err(|error| error.with_context(format!("step {}", step.number)))?;
            notes.extend(case.notes);
            cases.push(case.value);
        }
        Ok(Noted { value: cases, notes })
    }

    fn case(&self, step: &Step, origin: &CurrentOrigin) -> Result<Noted<StepCase>> {
        let mut case = self.plain_case(step, origin)?;
        if self.is_invented {
            case.value.origin = format!("invented, {}", case.value.origin);
        }
        Ok(case)
    }

    fn plain_case(&self, step: &Step, origin: &CurrentOrigin) -> Result<Noted<StepCase>> {
        match origin {
            CurrentOrigin::Shape(shape) => Ok(Noted::clean(StepCase {
                step: step.clone(),
                waveform: shape.waveform(step.nominal.a(), self.frequency_hz)?,
                origin: shape.words(),
            })),
            CurrentOrigin::Capture(capture) => capture.case(step),
        }
    }

    /// Every meter at every step.
    ///
    /// # Errors
    /// As [`Survey::new`].
    pub fn survey(&self, cases: &[StepCase]) -> Result<Survey> {
        Survey::new(cases, &self.meters, &self.lamp, self.rated())
    }

    /// The rated current of the lamps: the nominal of the brightest step.
    #[must_use]
    pub fn rated(&self) -> TrueRms {
        self.steps.top().nominal
    }
}

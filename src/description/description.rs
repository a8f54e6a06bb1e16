use std::io::Read;
use std::path::Path;

use crate::assess::{Recheck, StepCase, Survey};
use crate::error::{Bounds, Error, Note, Noted, Result};
use crate::lamp::LampLaw;
use crate::meter::Meter;
use crate::regulator::{
    OperatingPoint, Reach, ReachSide, Regulated, SolveOptions, Step, StepTable,
};
use crate::series::FieldLoad;
use crate::waveform::TrueRms;

use super::complaint::from_toml;
use super::origin::CurrentOrigin;
use super::raw::RawDescription;
use super::reader::Reader;
use super::{FieldSetup, OpenRatios, RegulatorSetup, Tolerance};

/// A checked description: everything the main job needs.
#[derive(Clone, Debug)]
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
    /// The rated current of the lamps: the one given, else the top nominal of a published circuit.
    pub rated_current: Option<TrueRms>,
    /// The current of each step, in the order of `steps`.
    pub currents: Vec<CurrentOrigin>,
    /// The regulator, when the description has one.
    pub regulator: Option<RegulatorSetup>,
    /// The field on the loop, when the description has one.
    pub field: Option<FieldSetup>,
    /// Shares of the fixtures open in place of those the field counts; only variations set them.
    pub open_ratios: OpenRatios,
    /// What is known of its numbers: the file's tolerances, and ours where it says nothing.
    pub tolerances: Vec<Tolerance>,
    /// Its text, with the captures' paths made absolute: it runs from any folder.
    pub runnable_text: String,
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

    /// The text of a description file; no more of it is read than a description may be long.
    ///
    /// # Errors
    /// `Io` when it cannot be read; `Malformed` when it is too large or not UTF-8.
    fn text_of(file: &Path) -> Result<String> {
        let failed = |source| Error::io(file, source);
        let opened = std::fs::File::open(file).map_err(failed)?;
        if opened.metadata().map_err(failed)?.is_dir() {
            return Err(failed(std::io::ErrorKind::IsADirectory.into())
                .with_hint("name the description in it, such as description.toml"));
        }
        let mut bytes = Vec::new();
        opened.take(Self::MAX_BYTES + 1).read_to_end(&mut bytes).map_err(failed)?;
        if bytes.len() as u64 > Self::MAX_BYTES {
            return Err(Error::malformed(
                format!("a description of at most {} bytes", Self::MAX_BYTES),
                "more",
            )
            .in_file(file)
            .with_hint("is this a capture? `loopcrest capture` reads those"));
        }
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
        Self::of_text(text, Some(folder))
    }

    /// Reads the text of a description that came without its folder: no file is opened, and naming one is an
    /// error.
    ///
    /// # Errors
    /// As [`Self::parse`]; `Inconsistent` where it names a file.
    pub fn parse_alone(text: &str) -> Result<Self> {
        if text.len() as u64 > Self::MAX_BYTES {
            let expected = format!("a description of at most {} bytes", Self::MAX_BYTES);
            return Err(Error::malformed(expected, "more"));
        }
        Self::of_text(text, None)
    }

    fn of_text(text: &str, folder: Option<&Path>) -> Result<Self> {
        let raw: RawDescription =
            toml::from_str(text).map_err(|complaint| from_toml(text, &complaint))?;
        Reader { text, folder }.description(&raw)
    }

    /// The current of every step, scaled to its nominal, with what was noticed on the way.
    ///
    /// A step the regulator cannot hold has no case but a note that names the limit.
    ///
    /// # Errors
    /// When a capture cannot be read, a shape cannot be made or the regulator cannot be solved, with
    /// the step named.
    pub fn cases(&self) -> Result<Noted<Vec<StepCase>>> {
        let mut cases = Vec::with_capacity(self.currents.len());
        let mut notes: Vec<Note> = Vec::new();
        let mut neighbour = None;
        for (step, origin) in self.steps.steps().iter().zip(&self.currents) {
            let named = |error: Error| error.with_context(format!("step {}", step.number));
            let noted = match origin {
                CurrentOrigin::Shape(shape) => Noted::clean(Some(StepCase {
                    step: step.clone(),
                    waveform: shape.waveform(step.nominal.a(), self.frequency_hz).map_err(named)?,
                    origin: shape.words(),
                })),
                CurrentOrigin::Capture(capture) => {
                    capture.case(step, self.frequency_hz).map_err(named)?.map(Some)
                }
                CurrentOrigin::Regulator => {
                    self.solved_case(step, &mut neighbour).map_err(named)?
                }
            };
            for note in noted.notes {
                if !notes.contains(&note) {
                    notes.push(note);
                }
            }
            cases.extend(noted.value.map(|mut case| {
                if self.is_invented {
                    case.origin = format!("invented, {}", case.origin);
                }
                case
            }));
        }
        if cases.is_empty() {
            return Err(Error::inconsistent("the regulator holds none of the steps").with_hint(
                "lower the load, raise the supply voltage, or check the regulator's values",
            ));
        }
        Ok(Noted { value: cases, notes })
    }

    /// The regulator at one step, solved from the operating point of the step before.
    fn solved_case(
        &self,
        step: &Step,
        neighbour: &mut Option<OperatingPoint>,
    ) -> Result<Noted<Option<StepCase>>> {
        let setup = self
            .regulator
            .as_ref()
            .ok_or_else(|| Error::inconsistent("the description has no regulator"))?;
        let load = setup.load(setup.load_ratio)?;
        // The current is set by a true-RMS reading, whatever the control senses.
        let options = SolveOptions::default();
        let nominal_a = step.nominal.a();
        let answer = setup.regulator.hold(&load, nominal_a, neighbour.as_ref(), &options)?;
        match answer {
            Regulated::Held(point) => {
                let case = StepCase {
                    step: step.clone(),
                    waveform: point.output.clone().from_rising_zero(),
                    origin: format!(
                        "{}, firing delay {:.1}°",
                        setup.words(setup.load_ratio),
                        point.delay_rad().to_degrees()
                    ),
                };
                let notes = point.notes();
                *neighbour = Some(*point);
                Ok(Noted { value: Some(case), notes })
            }
            Regulated::OutOfReach(reach) => {
                Ok(Noted { value: None, notes: vec![out_of_reach(step, &reach)] })
            }
        }
    }

    /// Takes our tolerances anew after the description was changed by hand: those of numbers it no
    /// longer has go. The user's own stay.
    pub fn refresh_tolerances(&mut self) {
        let generic = self.tolerances.iter().any(|tolerance| tolerance.is_generic);
        let mut all = if generic { super::generic_tolerances::of(self) } else { Vec::new() };
        for own in self.tolerances.iter().filter(|tolerance| !tolerance.is_generic) {
            let Ok(parameter) = super::Parameter::find(self, own.parameter.key()) else { continue };
            let own = Tolerance { parameter, ..own.clone() };
            match all.iter_mut().find(|known| known.parameter.key() == own.parameter.key()) {
                Some(known) => *known = own,
                None => all.push(own),
            }
        }
        self.tolerances = all;
    }

    /// Every meter at every step.
    ///
    /// # Errors
    /// As [`Survey::new`].
    pub fn survey(&self, cases: &[StepCase]) -> Result<Survey> {
        Survey::new(cases, &self.meters, &self.lamp, self.rated())
    }

    /// Every step read again at the description's second load, or on its field when it has no such
    /// load, after trimming by each meter.
    ///
    /// `None` when the description has no regulator, or neither a second load nor a field.
    ///
    /// # Errors
    /// As [`Recheck::new`] and [`Recheck::on_field`].
    pub fn recheck(&self, survey: &Survey) -> Result<Option<Noted<Recheck>>> {
        let Some(setup) = &self.regulator else { return Ok(None) };
        let set_load = setup.load(setup.load_ratio)?;
        let (regulator, sense) = (&setup.regulator, setup.sense);
        match (setup.recheck_load_ratio, &self.field) {
            (Some(other_ratio), _) => {
                let other_load = setup.load(other_ratio)?;
                Recheck::new(regulator, &set_load, &other_load, sense, survey).map(Some)
            }
            (None, Some(setup)) => {
                let field = FieldLoad::for_regulator(&setup.field, regulator)?;
                Recheck::on_field(regulator, &set_load, &field, sense, survey).map(Some)
            }
            (None, None) => Ok(None),
        }
    }

    /// The rated current of the lamps for the life law; above every current where it is not known,
    /// so that the law is never said to hold.
    #[must_use]
    pub fn rated(&self) -> TrueRms {
        self.rated_current.unwrap_or(TrueRms::stated_a(f64::INFINITY))
    }
}

/// The finding that a step cannot be held.
fn out_of_reach(step: &Step, reach: &Reach) -> Note {
    let side = match reach.side {
        ReachSide::AboveHighest => "highest",
        ReachSide::BelowLowest => "lowest",
    };
    Note::new(
        "out-of-reach",
        format!(
            "step {} ({} A) is out of reach of this regulator at this load: the {side} current it \
             can hold is {:.3} A",
            step.number,
            step.nominal.a(),
            reach.limit_a
        ),
    )
}

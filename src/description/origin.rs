use std::path::PathBuf;

use crate::assess::StepCase;
use crate::capture::{
    ChannelOptions, ColumnChoice, CutOptions, ReadOptions, Recorded, Stretch, TimeColumn,
};
use crate::error::{Error, Note, Noted, Result};
use crate::regulator::Step;
use crate::spectrum::band_limited;
use crate::waveform::{Coupling, Noise, RingDown, Scale, Shape, Synthesis, Waveform};

/// Where the current of a step comes from.
#[derive(Clone, Debug, PartialEq)]
pub enum CurrentOrigin {
    /// A synthetic shape.
    Shape(ShapeOrigin),
    /// A recorded current.
    Capture(Box<CaptureOrigin>),
    /// Solved from the description's regulator and load.
    Regulator,
}

/// A synthetic shape with what is added to it.
#[derive(Clone, Debug, PartialEq)]
pub struct ShapeOrigin {
    /// The bare shape.
    pub shape: Shape,
    /// Mean, as a ratio of the shape's RMS.
    pub offset_ratio: f64,
    /// Noise.
    pub noise: Option<Noise>,
    /// Ringing.
    pub ring_down: Option<RingDown>,
    /// Highest harmonic kept; `None` keeps the shape's corners.
    pub highest_order: Option<usize>,
}

/// A recorded current.
#[derive(Clone, Debug, PartialEq)]
pub struct CaptureOrigin {
    /// The file.
    pub file: PathBuf,
    /// How it is read.
    pub reading: ReadOptions,
    /// Which channel is the current.
    pub channel: ChannelOptions,
    /// How whole periods are cut.
    pub cutting: CutOptions,
}

impl CaptureOrigin {
    /// A file whose current is found from its content, with what the user knows better.
    ///
    /// `column` and `time_column` are names or numbers from 1; the time column may be "none".
    #[must_use]
    pub fn new(file: PathBuf, column: Option<&str>, time_column: Option<&str>) -> Self {
        let choice = |text: &str| {
            let Ok(choice) = text.parse::<ColumnChoice>();
            choice
        };
        let reading = ReadOptions {
            time_column: match time_column {
                Some(text) if text.eq_ignore_ascii_case("none") => TimeColumn::Absent,
                Some(text) => TimeColumn::Column(choice(text)),
                None => TimeColumn::default(),
            },
            ..ReadOptions::default()
        };
        let column = column.map(choice).unwrap_or_default();
        let channel = ChannelOptions { column, ..ChannelOptions::default() };
        Self { file, reading, channel, cutting: CutOptions::default() }
    }

    /// The same with only a part of the record, in seconds after its first sample.
    #[must_use]
    pub fn with_stretch_s(mut self, from_s: Option<f64>, to_s: Option<f64>) -> Self {
        if from_s.is_some() || to_s.is_some() {
            self.cutting.stretch = Stretch::Seconds { from_s, to_s };
        }
        self
    }

    /// Reads the file and cuts whole periods.
    ///
    /// # Errors
    /// As [`Recorded::open`].
    pub fn open(&self) -> Result<Noted<Recorded>> {
        Recorded::open(&self.file, &self.reading, &self.channel, &self.cutting)
    }

    /// The recorded current as the case of a step: its shape, scaled to the step's nominal.
    ///
    /// # Errors
    /// As [`Self::open`]; `Inconsistent` when the record is too far from the nominal to be the
    /// current of that step.
    pub(super) fn case(&self, step: &Step, supply_hz: f64) -> Result<Noted<StepCase>> {
        let recorded = self.open().map_err(|error| {
            let fields = capture_settings(&error);
            if fields.is_empty() {
                return error;
            }
            error.with_more_hint(format!("in the description: {}", fields.join(", ")))
        })?;
        let waveform = &recorded.value.cut.waveform;
        let recorded_a = waveform.rms_a(Coupling::Dc);
        let mut notes: Vec<Note> = recorded
            .notes
            .into_iter()
            .map(|note| {
                let text = format!("step {}, {}: {}", step.number, self.name(), note.text);
                Note::new(note.code, text)
            })
            .collect();
        let recorded_hz = recorded.value.cut.frequency_hz;
        if (recorded_hz - supply_hz).abs() > OTHER_FREQUENCY_HZ {
            notes.push(Note::new(
                "other-frequency",
                format!(
                    "step {}, {}: the record's mains frequency is {recorded_hz:.2} Hz, the \
                     description's supply has {supply_hz} Hz",
                    step.number,
                    self.name()
                ),
            ));
        }
        let factor = step.nominal.a() / recorded_a;
        if !(1.0 / LARGEST_SCALING..=LARGEST_SCALING).contains(&factor) {
            return Err(Error::inconsistent(format!(
                "{} holds {recorded_a:.3} A, more than a factor of {LARGEST_SCALING} away from the \
                 nominal {} A",
                self.name(),
                step.nominal.a()
            ))
            .with_hint("are column, unit, clamp and step right? a shape belongs to its current"));
        }
        if !(1.0 / LARGE_SCALING..=LARGE_SCALING).contains(&factor) {
            notes.push(Note::new(
                "scaled-far",
                format!(
                    "step {}, {}: the record holds {recorded_a:.3} A and is scaled to {} A; its \
                     shape at that current may differ",
                    step.number,
                    self.name(),
                    step.nominal.a()
                ),
            ));
        }
        let case = StepCase {
            step: step.clone(),
            waveform: waveform.scaled_to_rms(step.nominal.a(), Coupling::Dc)?,
            origin: format!("capture {}, {recorded_a:.3} A true RMS as recorded", self.name()),
        };
        Ok(Noted { value: case, notes })
    }

    fn name(&self) -> String {
        self.file.file_name().map_or_else(
            || self.file.display().to_string(),
            |name| name.to_string_lossy().into_owned(),
        )
    }
}

/// The settings of a capture that an error of its reading is about: the fields of a description,
/// and with two dashes before them the options of the command line.
#[must_use]
pub fn capture_settings(error: &Error) -> Vec<&'static str> {
    let said = format!("{} {}", error.sentence(), error.hint().unwrap_or_default());
    let mut settings = Vec::new();
    for (word, setting) in SETTINGS {
        if said.contains(word) && !settings.contains(&setting) {
            settings.push(setting);
        }
    }
    settings
}

/// Words of the reader's complaints and the setting each is about.
const SETTINGS: [(&str, &str); 12] = [
    ("data columns", "column"),
    ("right column", "column"),
    ("one of the columns", "column"),
    ("clamp factor out", "unit"),
    ("clamp factor", "clamp"),
    ("volts per ampere", "clamp"),
    ("sample rate", "sample-rate"),
    ("time axis", "time-column"),
    ("time column", "time-column"),
    ("stretch asked for", "from"),
    ("full scale out", "full-scale"),
    ("sections of one", "section"),
];

/// Scaling a record by more than this to reach the nominal is worth a note.
const LARGE_SCALING: f64 = 1.1;
/// Scaling a record by more than this is refused: it is another step, or wrong by a factor of ten.
const LARGEST_SCALING: f64 = 2.0;
/// A record whose mains frequency is farther from the supply's than this is worth a note.
const OTHER_FREQUENCY_HZ: f64 = 1.0;

impl ShapeOrigin {
    /// The bare shape with nothing added.
    #[must_use]
    pub fn plain(shape: Shape) -> Self {
        Self { shape, offset_ratio: 0.0, noise: None, ring_down: None, highest_order: None }
    }

    /// The current, scaled so that its true RMS (mean included) is `rms_a`.
    ///
    /// # Errors
    /// As [`Synthesis::waveform`].
    pub fn waveform(&self, rms_a: f64, frequency_hz: f64) -> Result<Waveform> {
        let synthesis = Synthesis {
            offset_ratio: self.offset_ratio,
            noise: self.noise,
            ring_down: self.ring_down,
            frequency_hz,
            ..Synthesis::new(self.shape.clone(), Scale::RmsA(rms_a))
        };
        match self.highest_order {
            Some(order) => band_limited(&synthesis, order),
            None => synthesis.waveform(),
        }
    }

    /// The shape and its additions in words.
    #[must_use]
    pub fn words(&self) -> String {
        let mut words = self.shape.name();
        if self.offset_ratio.abs() > 0.0 {
            words += &format!(", mean {:.2} % of its RMS", 100.0 * self.offset_ratio);
        }
        if let Some(noise) = self.noise {
            words += &format!(", noise {:.2} %", 100.0 * noise.ratio);
        }
        if self.ring_down.is_some() {
            words += ", with ringing";
        }
        if let Some(order) = self.highest_order {
            words += &format!(", no harmonic above {order}");
        }
        words
    }
}

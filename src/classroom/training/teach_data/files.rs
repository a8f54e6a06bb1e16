//! Sounds, table and books as files.

use std::fmt::Write as _;

use crate::classroom::training::{Parameter, TrainingCircuit};
use crate::error::{Error, Result};
use crate::plot::Palette;
use crate::report::{Document, TeachDataDocument, TeachDataFilePart, to_json};
use crate::spectrum::Spectrum;
use crate::waveform::{Coupling, Scale, Shape, Synthesis, Waveform};

use super::{FlipBook, GeneratorTable, Sound, rows};

/// What the data for teaching is made of.
#[derive(Clone, Debug, PartialEq)]
pub struct TeachData {
    /// Brightness step, within [`Parameter::STEP`].
    pub step: u32,
    /// Load over rated load, within [`Parameter::LOAD_RATIO`].
    pub load_ratio: f64,
    /// Length of each sound, within [`Sound::LENGTH_S`].
    pub sound_s: f64,
    /// Points of the table, within [`GeneratorTable::POINTS`].
    pub points: usize,
    /// Colours of the books.
    pub palette: Palette,
}

impl Default for TeachData {
    fn default() -> Self {
        Self { step: 1, load_ratio: 0.02, sound_s: 4.0, points: 1000, palette: Palette::LIGHT }
    }
}

/// Every file for teaching that is not a figure: the current as a sound beside a sine and beside its
/// harmonics alone, one period as a table, two books to leaf through, and an index (`index.txt`,
/// `index.json`) that says what each is.
///
/// # Errors
/// `OutOfRange` for a value out of its bounds; otherwise as [`TrainingCircuit::case`].
pub fn teach_data_files(wanted: &TeachData) -> Result<Vec<(String, Vec<u8>)>> {
    Parameter::STEP.check(f64::from(wanted.step))?;
    Parameter::LOAD_RATIO.check(wanted.load_ratio)?;
    let circuit = TrainingCircuit::invented()?;
    let step = circuit.description.steps.step(wanted.step);
    let step = step.ok_or_else(|| {
        Error::inconsistent(format!("the training circuit has no step {}", wanted.step))
    })?;
    let case = circuit.case(step, wanted.load_ratio)?;
    let current = &case.waveform;
    let table = GeneratorTable::of(current, wanted.points)?;
    let mut files: Vec<(&str, String, Vec<u8>)> = Vec::new();
    let same = Synthesis {
        frequency_hz: current.frequency_hz(),
        periods: 1,
        ..Synthesis::new(Shape::Sine, Scale::RmsA(step.nominal.a()))
    };
    for (name, wave, words) in [
        ("current.wav", current.clone(), "the current"),
        ("sine.wav", same.waveform()?, "a sine of the same RMS and frequency, to compare"),
        (
            "harmonics.wav",
            without_fundamental(current)?,
            "the current's harmonics alone, made louder",
        ),
    ] {
        let sound = Sound::of(&wave, wanted.sound_s)?;
        let words = format!(
            "{words}; full scale is {:.3} A. 48 kHz, 16 bits, mono, at the mains frequency",
            sound.amperes_at_full_scale
        );
        files.push((name, words, sound.wav()?));
    }
    let unit = format!("1 is {:.6} A", table.amperes_per_unit);
    files.push((
        "generator.csv",
        format!("one period for a signal generator, a value on each line, -1 to 1; {unit}"),
        table.plain().into_bytes(),
    ));
    files.push((
        "period.csv",
        "the same points with time and current".to_owned(),
        table.csv().into_bytes(),
    ));
    let books = [
        (
            "load",
            format!("step {} from a short to full load", step.number),
            rows::over_load(&circuit, step)?,
        ),
        (
            "lamps-out",
            format!("step {} as lamps go out", step.number),
            rows::over_lamps(&circuit, step)?,
        ),
    ];
    for (name, title, figures) in &books {
        let book = FlipBook::of(title, figures, &wanted.palette)?;
        let (svg, html) = match *name {
            "load" => ("load.svg", "load.html"),
            _ => ("lamps-out.svg", "lamps-out.html"),
        };
        files.push((svg, format!("{title}, animated"), book.svg().into_bytes()));
        let page = book.html(&wanted.palette).into_bytes();
        files.push((html, format!("{title}, to leaf through with keys"), page));
    }
    let (format, program) = TeachDataDocument::head();
    let part = |(name, words, _): &(&str, String, Vec<u8>)| TeachDataFilePart {
        name: (*name).to_owned(),
        words: words.clone(),
    };
    let document = TeachDataDocument {
        format,
        program,
        current: format!("step {}, {}", step.number, case.origin),
        rms_a: current.rms_a(Coupling::Dc),
        frequency_hz: current.frequency_hz(),
        points: wanted.points,
        amperes_per_unit: table.amperes_per_unit,
        sound_s: wanted.sound_s,
        sound_peak_dbfs: Sound::PEAK_DBFS,
        files: files.iter().map(part).collect(),
    };
    let mut all: Vec<(String, Vec<u8>)> =
        files.into_iter().map(|(name, _, bytes)| (name.to_owned(), bytes)).collect();
    all.push(("index.txt".into(), index(&document).into_bytes()));
    all.push(("index.json".into(), to_json(&Document::TeachData(Box::new(document))).into_bytes()));
    Ok(all)
}

/// The current less its mean and its fundamental.
fn without_fundamental(current: &Waveform) -> Result<Waveform> {
    let period = current.averaged_period();
    let n = period.samples_per_period();
    let fundamental = Spectrum::of(&period).band_limited(1).waveform(n)?;
    let rest = period.samples_a().iter().zip(fundamental.samples_a()).map(|(i, f)| i - f);
    Waveform::new(rest.collect(), n, period.sample_interval_s())
}

fn index(document: &TeachDataDocument) -> String {
    let mut text = format!(
        "Data for teaching. Circuit and regulator are invented: nobody's machine.\n\n\
         current: {}\ntrue RMS {:.3} A, {:.1} Hz\n\n\
         Sounds: {:.1} s each, highest sample {:.0} dB below full scale, ends faded. Begin with the \
         volume low.\nTable: {} points for one period; to be gone through {:.1} times a second; 1 stands \
         for {:.6} A.\nA generator's output is volts, not amperes: never connect it to a lighting \
         circuit.\n\n",
        document.current,
        document.rms_a,
        document.frequency_hz,
        document.sound_s,
        -document.sound_peak_dbfs,
        document.points,
        document.frequency_hz,
        document.amperes_per_unit
    );
    for file in &document.files {
        let _ = writeln!(text, "{:<16} {}", file.name, file.words);
    }
    text
}

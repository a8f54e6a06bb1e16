use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::capture::FullScale;
use crate::description::{CaptureOrigin, Description, RegulatorSetup, capture_settings, misspelt};
use crate::error::{Error, Note, Noted, Result};
use crate::identify::Observation;
use crate::report::FitSetting;
use crate::units::Dimension;

use super::console::refuse_standard_input;
use super::quantities::parse;
use super::regulated;
use super::written_args::full_scale;

/// A capture with what is known of it: `FILE@step=5,load=2%,column=CH2,clamp=100mV/A`.
#[derive(Clone, Debug, Default)]
pub(super) struct FitCapture {
    file: PathBuf,
    step: Option<u32>,
    load_ratio: Option<f64>,
    column: Option<String>,
    time_column: Option<String>,
    unit: Option<String>,
    clamp_v_per_a: Option<f64>,
    full_scale: Option<FullScale>,
    sample_rate_hz: Option<f64>,
    from_s: Option<f64>,
    to_s: Option<f64>,
}

const WORDS: [&str; 10] = [
    "step",
    "load",
    "column",
    "time-column",
    "unit",
    "clamp",
    "full-scale",
    "sample-rate",
    "from",
    "to",
];

impl std::str::FromStr for FitCapture {
    type Err = String;

    fn from_str(text: &str) -> std::result::Result<Self, String> {
        read(text).map_err(|error| match error.hint() {
            Some(hint) => format!("{error} ({hint})"),
            None => error.to_string(),
        })
    }
}

fn read(text: &str) -> Result<FitCapture> {
    // A file's name may hold an "@" of its own.
    let (file, said) = match text.rsplit_once('@') {
        Some((file, said)) if said.contains('=') => (file, said),
        _ => (text, ""),
    };
    let mut capture = FitCapture { file: PathBuf::from(file), ..FitCapture::default() };
    for word in said.split(',').filter(|word| !word.is_empty()) {
        let (key, value) = word
            .split_once('=')
            .ok_or_else(|| Error::malformed("a setting such as load=2%", format!("\"{word}\"")))?;
        let quantity = |dimension, unit| parse(value, dimension, unit).map(Some);
        match key.trim() {
            "step" => {
                let number = value.trim().parse();
                capture.step = Some(number.map_err(|_| {
                    Error::malformed("the number of a step", format!("\"{value}\""))
                })?);
            }
            "load" => capture.load_ratio = quantity(Dimension::Ratio, "")?,
            "column" => capture.column = Some(value.to_owned()),
            "time-column" => capture.time_column = Some(value.to_owned()),
            "unit" => capture.unit = Some(value.to_owned()),
            "clamp" => capture.clamp_v_per_a = quantity(Dimension::ClampFactor, "V/A")?,
            "full-scale" => {
                let scale = full_scale(value.trim());
                capture.full_scale = Some(scale.map_err(|_| {
                    Error::malformed("amperes or volts such as 20A", format!("\"{value}\""))
                })?);
            }
            "sample-rate" => capture.sample_rate_hz = quantity(Dimension::Frequency, "Hz")?,
            "from" => capture.from_s = quantity(Dimension::Time, "s")?,
            "to" => capture.to_s = quantity(Dimension::Time, "s")?,
            other => {
                return Err(misspelt(format!("one of {}", WORDS.join(", ")), other, WORDS));
            }
        }
    }
    Ok(capture)
}

impl FitCapture {
    /// Reads the file; what was noticed on the way names it.
    pub(super) fn observe(
        &self,
        description: &Description,
        setup: &RegulatorSetup,
        highest_order: usize,
    ) -> Result<Noted<(Observation, FitSetting)>> {
        refuse_standard_input(&self.file)?;
        if self.step.is_some() {
            regulated::nominal_a(description, self.step)?;
        }
        let load_ratio = self.load_ratio.unwrap_or(setup.load_ratio);
        let mut origin = CaptureOrigin::new(
            self.file.clone(),
            self.column.as_deref(),
            self.time_column.as_deref(),
        )
        .with_stretch_s(self.from_s, self.to_s);
        origin.reading.sample_rate_hz = self.sample_rate_hz;
        origin.channel.unit = self.unit.clone();
        origin.channel.clamp_v_per_a = self.clamp_v_per_a;
        origin.channel.full_scale = self.full_scale;
        let recorded = origin.open().map_err(with_settings)?;
        let name = name(&self.file);
        let load = Arc::new(setup.load(load_ratio)?);
        let periods = &recorded.value.cut.waveform;
        let seen = Observation::new(name.clone(), periods, load, highest_order)?;
        let noted = |note: Note| Note::new(note.code, format!("{name}: {}", note.text));
        Ok(Noted {
            value: (seen, FitSetting { step: self.step, load_ratio }),
            notes: recorded.notes.into_iter().map(noted).collect(),
        })
    }
}

/// The same error with the settings that decide what it is about.
fn with_settings(error: Error) -> Error {
    let settings = capture_settings(&error);
    if settings.is_empty() {
        return error;
    }
    error.with_more_hint(format!("after the file's name and @: {}", settings.join(", ")))
}

fn name(file: &Path) -> String {
    file.file_name()
        .map_or_else(|| file.display().to_string(), |n| n.to_string_lossy().into_owned())
}

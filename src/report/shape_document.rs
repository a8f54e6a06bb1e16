use schemars::JsonSchema;
use serde::Serialize;

use crate::meter::Detector;
use crate::spectrum::Spectrum;
use crate::waveform::{Coupling, Waveform};

use super::survey_document::program;
use super::{Document, MeasuresPart, ReadingPart};

/// The detector laws on one current.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ShapeDocument {
    /// Format number.
    pub format: u32,
    /// Program and version that wrote it.
    pub program: String,
    /// The shape in words.
    pub shape: String,
    /// Frequency of the period.
    pub frequency_hz: f64,
    /// Measures of the current.
    pub measures: MeasuresPart,
    /// What each law shows, against the true RMS with the mean included.
    pub readings: Vec<ReadingPart>,
}

impl ShapeDocument {
    /// Every detector law on a current.
    #[must_use]
    pub fn new(shape: String, waveform: &Waveform) -> Self {
        let measures = waveform.measures();
        Self {
            format: Document::FORMAT,
            program: program(),
            shape,
            frequency_hz: waveform.frequency_hz(),
            measures: MeasuresPart::new(&measures, &Spectrum::of(waveform)),
            readings: readings(waveform),
        }
    }
}

/// Every law against the true RMS, mean included.
pub(super) fn readings(waveform: &Waveform) -> Vec<ReadingPart> {
    let measures = waveform.measures();
    let truth = waveform.true_rms(Coupling::Dc);
    Detector::ALL
        .into_iter()
        .map(|detector| ReadingPart::new(detector, &detector.read(&measures), truth))
        .collect()
}

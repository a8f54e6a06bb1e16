use std::path::Path;

use schemars::JsonSchema;
use serde::Serialize;

use crate::assess::RecordedStep;
use crate::capture::{Event, RecordSummary, SampleStream};
use crate::error::Error;

use super::parts::{PlacementPart, placement_key};
use super::survey_document::program;
use super::{CAUTIONS, Document};

/// Every record of a folder.
#[derive(Debug, Serialize, JsonSchema)]
pub struct CapturesDocument {
    /// Format number.
    pub format: u32,
    /// Program and version that wrote it.
    pub program: String,
    /// The folder.
    pub folder: String,
    /// Name of the step table.
    pub step_table: String,
    /// The files that were read, by name.
    pub records: Vec<CaptureRowPart>,
    /// The files that were not, by name.
    pub failed: Vec<FailedFilePart>,
    /// What anyone going to the equipment must heed.
    pub cautions: Vec<&'static str>,
}

/// One record in a table of many.
#[derive(Debug, Serialize, JsonSchema)]
pub struct CaptureRowPart {
    /// The file's name.
    pub file: String,
    /// The channel taken as the current.
    pub channel: String,
    /// Samples per second.
    pub sample_rate_hz: f64,
    /// Length of the record.
    pub duration_s: f64,
    /// Mains frequency in the stretch that stands for the record.
    pub frequency_hz: f64,
    /// True RMS there, mean included.
    pub rms_a: f64,
    /// Peak over RMS there; null for no current or one that is nowhere steady.
    pub crest_factor: Option<f64>,
    /// Whether the current is steady there; otherwise it is the whole record.
    pub is_steady: bool,
    /// Number of the step it is likely to be; null when none is near or the current is not steady.
    pub likely_step: Option<u32>,
    /// Where the true RMS lies against that step's band; null without a step or a steady current.
    #[schemars(with = "Option<PlacementPart>")]
    pub placement: Option<&'static str>,
    /// Codes of what was noticed and kinds of what happened, each once.
    pub warnings: Vec<String>,
}

/// A file that could not be read.
#[derive(Debug, Serialize, JsonSchema)]
pub struct FailedFilePart {
    /// The file's name.
    pub file: String,
    /// Why not.
    pub reason: String,
    /// What to try, when that is known.
    pub hint: Option<String>,
}

impl CapturesDocument {
    /// The document of a folder; the files in the order they are to be shown in.
    #[must_use]
    pub fn new(
        folder: &Path,
        step_table: &str,
        records: Vec<CaptureRowPart>,
        failed: Vec<FailedFilePart>,
    ) -> Self {
        Self {
            format: Document::FORMAT,
            program: program(),
            folder: folder.display().to_string(),
            step_table: step_table.to_owned(),
            records,
            failed,
            cautions: CAUTIONS.to_vec(),
        }
    }
}

impl CaptureRowPart {
    /// One row; `codes` are those of the notes made on the way.
    #[must_use]
    pub fn new(
        file: &Path,
        stream: &SampleStream,
        summary: &RecordSummary,
        step: &RecordedStep,
        codes: &[&'static str],
    ) -> Self {
        let part = summary.representative();
        let is_steady = summary.steady.is_some();
        let placement = step.placement.filter(|_| is_steady);
        let mut warnings: Vec<String> = Vec::new();
        let kinds = summary.events.iter().map(|event: &Event| event.kind.key());
        for code in codes.iter().copied().chain(kinds) {
            if !warnings.iter().any(|known| known == code) {
                warnings.push(code.to_owned());
            }
        }
        if !is_steady {
            warnings.push("not-steady".to_owned());
        }
        let rms_a = part.rms_a();
        Self {
            file: name_of(file),
            channel: stream.about().channels.first().map_or(String::new(), |c| c.label()),
            sample_rate_hz: summary.sample_rate_hz,
            duration_s: summary.duration_s(),
            frequency_hz: part.frequency_hz(),
            rms_a,
            crest_factor: (is_steady && rms_a > 0.0).then(|| part.mean_peak_a() / rms_a),
            is_steady,
            likely_step: placement.map(|_| step.step.number),
            placement: placement.map(placement_key),
            warnings,
        }
    }
}

impl FailedFilePart {
    /// A file and why it was not read.
    #[must_use]
    pub fn new(file: &Path, error: &Error) -> Self {
        Self {
            file: name_of(file),
            reason: error.sentence(),
            hint: error.hint().map(str::to_owned),
        }
    }
}

fn name_of(file: &Path) -> String {
    file.file_name()
        .map_or_else(|| file.display().to_string(), |name| name.to_string_lossy().into_owned())
}

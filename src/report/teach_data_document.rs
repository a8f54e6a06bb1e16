use schemars::JsonSchema;
use serde::Serialize;

use super::Document;
use super::survey_document::program;

/// Data for teaching: sounds, a table for a signal generator, pictures to leaf through.
#[derive(Debug, Serialize, JsonSchema)]
pub struct TeachDataDocument {
    /// Format number.
    pub format: u32,
    /// Program and version that wrote it.
    pub program: String,
    /// The current everything is made of, in words.
    pub current: String,
    /// Its true RMS.
    pub rms_a: f64,
    /// Frequency of the mains; the sounds have it as their pitch.
    pub frequency_hz: f64,
    /// Points of the table: one period.
    pub points: usize,
    /// Amperes that 1 in the table stands for.
    pub amperes_per_unit: f64,
    /// Length of each sound.
    pub sound_s: f64,
    /// Highest sample of each sound over full scale, in decibels.
    pub sound_peak_dbfs: f64,
    /// The files.
    pub files: Vec<TeachDataFilePart>,
}

/// One file.
#[derive(Debug, Serialize, JsonSchema)]
pub struct TeachDataFilePart {
    /// Its name.
    pub name: String,
    /// What it holds.
    pub words: String,
}

impl TeachDataDocument {
    /// The number of the format and the program, for a document to be filled.
    #[must_use]
    pub fn head() -> (u32, String) {
        (Document::FORMAT, program())
    }
}

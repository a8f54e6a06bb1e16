use schemars::JsonSchema;
use serde::Serialize;

use crate::description::sheet_text;
use crate::meter::Archetype;

use super::Document;
use super::survey_document::program;

/// Kinds of meter with a data sheet to begin from.
#[derive(Debug, Serialize, JsonSchema)]
pub struct MetersDocument {
    /// Format number.
    pub format: u32,
    /// Program and version that wrote it.
    pub program: String,
    /// The kinds: their sheets are invented and belong to no product.
    pub archetypes: Vec<ArchetypePart>,
}

/// A kind of meter.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ArchetypePart {
    /// The name used in files and on the command line.
    pub key: &'static str,
    /// Plain words.
    pub words: &'static str,
    /// Its detector law.
    pub detector: String,
    /// How the current gets in.
    pub clamp: String,
    /// Full scales of its ranges.
    pub ranges_a: Vec<f64>,
    /// What it may be used on; `null` when its sheet does not say.
    pub category: Option<String>,
    /// Its sheet as a description writes it.
    pub toml: String,
}

impl MetersDocument {
    /// These kinds.
    #[must_use]
    pub fn new(kinds: &[Archetype]) -> Self {
        Self {
            format: Document::FORMAT,
            program: program(),
            archetypes: kinds.iter().map(|kind| part(*kind)).collect(),
        }
    }
}

fn part(kind: Archetype) -> ArchetypePart {
    let sheet = kind.sheet();
    ArchetypePart {
        key: kind.key(),
        words: kind.words(),
        detector: sheet.detector.words(),
        clamp: sheet.clamp.words(),
        ranges_a: sheet.ranges.list.iter().map(|range| range.full_scale_a).collect(),
        category: sheet.category.as_ref().map(crate::meter::VoltageCategory::words),
        toml: sheet_text(kind.words(), &sheet),
    }
}

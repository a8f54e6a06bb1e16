use schemars::JsonSchema;
use serde::Serialize;

use super::explained_part::{ExplainedPart, explain_recorded};
use crate::capture::Recorded;

/// How a file was understood.
#[derive(Debug, Serialize, JsonSchema)]
pub struct UnderstoodPart {
    /// The file's format, found from its content.
    pub format: &'static str,
    /// How bytes were read as characters, in a text.
    pub encoding: Option<&'static str>,
    /// What stands between two cells, in delimited text.
    pub separator: Option<&'static str>,
    /// Decimal point or comma, in delimited text.
    pub decimal_mark: Option<&'static str>,
    /// Samples on the time axis, gaps included.
    pub samples: usize,
    /// Samples per second.
    pub sample_rate_hz: f64,
    /// Column of the current, from 1.
    pub column: usize,
    /// Its name.
    pub column_name: Option<String>,
    /// Its unit as written in the file.
    pub column_unit: Option<String>,
    /// Samples the file does not give.
    pub gaps: usize,
    /// Every decision, where it came from, and the option that changes it.
    pub explained: Vec<ExplainedPart>,
}

impl UnderstoodPart {
    /// What was understood of a file whose current was found and cut.
    pub(super) fn new(recorded: &Recorded) -> Self {
        let Recorded { record, channel, .. } = recorded;
        let text = record.layout.text();
        Self {
            format: record.layout.format().words(),
            encoding: text.map(|layout| layout.encoding.words()),
            separator: text.map(|layout| layout.separator.words()),
            decimal_mark: text.map(|layout| layout.decimal_mark.words()),
            samples: record.len(),
            sample_rate_hz: recorded.sample_rate_hz,
            column: channel.number,
            column_name: channel.name.clone(),
            column_unit: channel.unit.clone(),
            gaps: channel.gaps(),
            explained: explain_recorded(recorded),
        }
    }
}

use jiff::fmt::friendly::{Designator, Spacing, SpanPrinter};
use schemars::JsonSchema;
use serde::Serialize;

use super::survey_document::program;
use super::{Document, DuePart};

/// When every regulator is due, the first to be due first.
#[derive(Debug, Serialize, JsonSchema)]
pub struct DueDocument {
    /// Format number.
    pub format: u32,
    /// Program and version that wrote it.
    pub program: String,
    /// The day it was looked at.
    pub today: String,
    /// The interval between visits.
    pub interval: String,
    /// The regulators.
    pub regulators: Vec<DuePart>,
}

impl DueDocument {
    /// From the due days of every regulator, in any order.
    #[must_use]
    pub fn new(today: jiff::civil::Date, interval: &jiff::Span, mut due: Vec<DuePart>) -> Self {
        // Nothing comes before a day: what is due at once.
        due.sort_by(|a, b| a.day.cmp(&b.day).then_with(|| a.regulator.cmp(&b.regulator)));
        Self {
            format: Document::FORMAT,
            program: program(),
            today: today.to_string(),
            interval: SpanPrinter::new()
                .designator(Designator::Verbose)
                .spacing(Spacing::BetweenUnitsAndDesignators)
                .span_to_string(interval),
            regulators: due,
        }
    }
}

use crate::description::Parameter;

use super::{Cell, StepOutcome};

/// The columns of a sweep's table: the circuit, what was changed, the step, what came out.
///
/// Heads carry the unit; values are in SI base units, angles in radians.
#[derive(Clone, Debug, PartialEq)]
pub struct Columns {
    heads: Vec<String>,
    parameters: usize,
}

/// What a column holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ColumnKind {
    /// Numbers that count.
    Whole,
    /// Quantities that are always there.
    Real,
    /// Quantities that may be absent.
    MaybeReal,
    /// Words.
    Word,
}

/// What comes after the parameters.
const RESULTS: [(&str, ColumnKind); 11] = [
    ("step", ColumnKind::Whole),
    ("nominal_rms_a", ColumnKind::Real),
    ("state", ColumnKind::Word),
    ("limit_a", ColumnKind::MaybeReal),
    ("delay_rad", ColumnKind::MaybeReal),
    ("crest_factor", ColumnKind::MaybeReal),
    ("form_factor", ColumnKind::MaybeReal),
    ("thd_ratio", ColumnKind::MaybeReal),
    ("average_error_ratio", ColumnKind::MaybeReal),
    ("output_rms_v", ColumnKind::MaybeReal),
    ("output_peak_v", ColumnKind::MaybeReal),
];

impl Columns {
    /// The columns for these parameters.
    #[must_use]
    pub fn new(parameters: &[&Parameter]) -> Self {
        let mut heads = vec!["circuit".to_owned()];
        heads.extend(parameters.iter().map(|parameter| parameter.column()));
        heads.extend(RESULTS.iter().map(|(head, _)| (*head).to_owned()));
        Self { heads, parameters: parameters.len() }
    }

    /// Their names.
    #[must_use]
    pub fn heads(&self) -> &[String] {
        &self.heads
    }

    /// What each holds.
    #[must_use]
    pub fn kinds(&self) -> Vec<ColumnKind> {
        let parameters = std::iter::repeat_n(ColumnKind::Real, self.parameters);
        let results = RESULTS.iter().map(|(_, kind)| *kind);
        std::iter::once(ColumnKind::Whole).chain(parameters).chain(results).collect()
    }

    /// One row.
    #[must_use]
    pub fn row(&self, circuit: u64, values: &[f64], outcome: &StepOutcome) -> Vec<Cell<'static>> {
        let mut cells = Vec::with_capacity(self.heads.len());
        cells.push(Cell::Whole(circuit));
        cells.extend(values.iter().map(|value| Cell::Real(Some(*value))));
        cells.extend([
            Cell::Whole(u64::from(outcome.step)),
            Cell::Real(Some(outcome.nominal_rms_a)),
            Cell::Word(outcome.state.key()),
            Cell::Real(outcome.limit_a),
            Cell::Real(outcome.delay_rad),
            Cell::Real(outcome.crest_factor),
            Cell::Real(outcome.form_factor),
            Cell::Real(outcome.thd_ratio),
            Cell::Real(outcome.average_error_ratio),
            Cell::Real(outcome.output_rms_v),
            Cell::Real(outcome.output_peak_v),
        ]);
        cells
    }
}

use rayon::prelude::*;

use crate::error::Result;
use crate::regulator::{ResonantRegulator, SolveOptions, Step};

use super::{Field, FieldLoad, FieldTableRow};

/// Every brightness step on one field.
#[derive(Debug)]
pub struct FieldTable {
    /// One row for each step, in the order given.
    pub rows: Vec<FieldTableRow>,
}

impl FieldTable {
    /// Solves the steps one after the other, each from the last that was held.
    ///
    /// # Errors
    /// As [`FieldLoad::new`]: what is wrong with the field is wrong with every step.
    pub fn of(
        regulator: &ResonantRegulator,
        field: &Field,
        steps: &[Step],
        options: &SolveOptions,
    ) -> Result<Self> {
        let load = FieldLoad::for_regulator(field, regulator)?;
        let mut rows: Vec<FieldTableRow> = Vec::with_capacity(steps.len());
        for step in steps {
            let start = rows.iter().rev().find_map(FieldTableRow::point);
            let answer = load.hold(regulator, step.nominal.a(), start, options);
            rows.push(FieldTableRow { step: step.clone(), answer });
        }
        Ok(Self { rows })
    }

    /// The tables of several fields on all processors; they come in the order of the fields.
    #[must_use]
    pub fn of_fields(
        regulator: &ResonantRegulator,
        fields: &[Field],
        steps: &[Step],
        options: &SolveOptions,
    ) -> Vec<Result<Self>> {
        fields.par_iter().map(|field| Self::of(regulator, field, steps, options)).collect()
    }
}

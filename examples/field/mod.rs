//! The field of the embedded description for the examples: an invented circuit on a generic regulator.

#![allow(dead_code, reason = "each example takes what it needs")]

use loopcrest::description::{Description, FieldSetup, RegulatorSetup};
use loopcrest::error::{Error, Result};
use loopcrest::plot::{Figure, crest_map_figure, lamps_out_voltage_figure, load_bar_figure};
use loopcrest::series::{FieldTableRow, LampsOut, LoadComparison};

const ORIGIN: &str = "a 10 kW, 6.6 A, 60 Hz regulator: generic model, nobody's machine";
/// Shares of lamps out in the map.
const SHARES: usize = 9;

fn embedded() -> Result<(Description, RegulatorSetup, FieldSetup)> {
    let description = Description::embedded();
    let missing = || Error::inconsistent("the embedded description has no field or no regulator");
    let regulator = description.regulator.clone().ok_or_else(missing)?;
    let field = description.field.clone().ok_or_else(missing)?;
    Ok((description, regulator, field))
}

/// The load against the rating, calculated and solved.
pub(crate) fn load_bar() -> Result<Figure> {
    let (description, regulator, field) = embedded()?;
    let margin = field.margin(&regulator)?;
    let table = field.solve(&regulator, &description.steps.steps()[..1])?;
    let solved = table.rows.first().and_then(FieldTableRow::point);
    let comparison = solved.map(|point| LoadComparison::of(margin.load, point));
    Ok(load_bar_figure(&margin, comparison.as_ref(), ORIGIN))
}

/// The output voltage of the middle step with lamps out.
pub(crate) fn voltage() -> Result<Figure> {
    let (description, regulator, field) = embedded()?;
    let step = &description.steps.steps()[2];
    let points = field.with_lamps_out(&regulator, LampsOut::EveryGroup, step)?;
    lamps_out_voltage_figure(step, &points, ORIGIN)
}

/// The crest factor over step and lamps out.
pub(crate) fn crest_map() -> Result<Figure> {
    let (description, regulator, field) = embedded()?;
    let steps = description.steps.steps();
    let sweeps = field.lamps_out(&regulator, LampsOut::EveryGroup, SHARES, steps)?;
    Ok(crest_map_figure(&sweeps, ORIGIN))
}

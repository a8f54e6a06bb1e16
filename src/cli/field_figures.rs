//! The figures of the field's commands.

use crate::description::{Description, FieldSetup, RegulatorSetup};
use crate::error::Result;
use crate::plot::{crest_map_figure, lamps_out_voltage_figure, load_bar_figure};
use crate::series::{FieldTable, FieldTableRow, LampsOut, LampsOutSweep, LoadComparison};

use super::figures;

/// The load against the rating, and the output voltage of the brightest step with lamps out.
pub(super) fn field(
    description: &Description,
    setup: &RegulatorSetup,
    field: &FieldSetup,
    table: &FieldTable,
) -> Result<Vec<(String, Vec<u8>)>> {
    let origin = figures::origin(setup);
    let margin = field.margin(setup)?;
    let solved = table.rows.first().and_then(FieldTableRow::point);
    let comparison = solved.map(|point| LoadComparison::of(margin.load, point));
    let bar = load_bar_figure(&margin, comparison.as_ref(), &origin);
    let mut files = figures::files(&["load-bar"], &[bar])?;
    files.extend(voltage(description, setup, field, LampsOut::EveryGroup)?);
    Ok(files)
}

/// The crest factor over step and share of lamps out, and the output voltage with lamps out.
pub(super) fn lamps_out(
    description: &Description,
    setup: &RegulatorSetup,
    field: &FieldSetup,
    which: LampsOut,
    sweeps: &[LampsOutSweep],
) -> Result<Vec<(String, Vec<u8>)>> {
    let map = crest_map_figure(sweeps, &figures::origin(setup));
    let mut files = figures::files(&["crest-map"], &[map])?;
    files.extend(voltage(description, setup, field, which)?);
    Ok(files)
}

fn voltage(
    description: &Description,
    setup: &RegulatorSetup,
    field: &FieldSetup,
    which: LampsOut,
) -> Result<Vec<(String, Vec<u8>)>> {
    let step = description.steps.top();
    let points = field.with_lamps_out(setup, which, step)?;
    let figure = lamps_out_voltage_figure(step, &points, &figures::origin(setup))?;
    figures::files(&["output-voltage-lamps-out"], &[figure])
}

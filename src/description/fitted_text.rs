use std::path::Path;

use toml_edit::{ArrayOfTables, DocumentMut, Item, Table, TableLike, Value};

use crate::error::{Error, Result};
use crate::identify::{Estimate, Fitted, Parameter};

use super::Description;

impl Description {
    /// The text of this description with the values of a fitted regulator in it, each with its
    /// uncertainty as a remark; everything else stays as it is written.
    ///
    /// # Errors
    /// `Inconsistent` when the description has no regulator, or a fitted value is one that no
    /// description may hold.
    pub fn fitted_text(&self, fitted: &Fitted) -> Result<String> {
        let mut document: DocumentMut = self
            .runnable_text
            .parse()
            .map_err(|_| Error::malformed("valid TOML", "the text of this description"))?;
        let missing = || Error::inconsistent("the description has no [regulator]");
        let regulator =
            document.get_mut("regulator").and_then(Item::as_table_like_mut).ok_or_else(missing)?;
        set(regulator, "values-are", Value::from("fitted"));
        let values = table_in(regulator, "values", HEAD)?;
        for estimate in &fitted.estimates {
            if let Some(text) = plain_text(estimate) {
                set(values, &estimate.parameter.key(), remarked(&text, estimate));
            }
        }
        for (order, in_phase) in in_phase_parts(fitted) {
            let supply = table_in(document.as_table_mut(), "supply", "\n")?;
            set_harmonic(supply, order, in_phase, fitted)?;
        }
        let text = document.to_string();
        // What is written must be read: a value beyond the bounds of a description is told here.
        Self::parse(&text, Path::new(""))
            .map_err(|error| error.with_context("the fitted description"))?;
        Ok(text)
    }
}

/// Stands above the table of values where there was none.
const HEAD: &str = "\n# Fitted to captures of the output current, as far as a remark says so.\n";

/// The table of that name, made if there is none.
fn table_in<'a>(
    parent: &'a mut dyn TableLike,
    name: &str,
    head: &str,
) -> Result<&'a mut dyn TableLike> {
    let make = || {
        let mut table = Table::new();
        table.decor_mut().set_prefix(head);
        Item::Table(table)
    };
    parent
        .entry(name)
        .or_insert_with(make)
        .as_table_like_mut()
        .ok_or_else(|| Error::malformed("a table", format!("something else named {name}")))
}

/// Sets a value; a remark above one that is already there stays (inserting anew would drop it).
fn set(table: &mut dyn TableLike, key: &str, value: Value) {
    match table.get_mut(key) {
        Some(item) => *item = Item::Value(value),
        None => {
            table.insert(key, Item::Value(value));
        }
    }
}

/// A value as a description writes it; `None` for a part of a supply harmonic.
fn plain_text(estimate: &Estimate) -> Option<String> {
    let unit = estimate.parameter.unit();
    (!unit.is_empty()).then(|| format!("{} {unit}", rounded(estimate.value, 8)))
}

fn remarked(text: &str, estimate: &Estimate) -> Value {
    let mut value = Value::from(text);
    let unit = estimate.parameter.unit();
    let remark = match (estimate.standard_uncertainty, estimate.is_told) {
        (Some(u), true) => format!(" # fitted, standard uncertainty {} {unit}", rounded(u, 2)),
        (Some(u), false) => {
            format!(" # fitted but NOT TOLD, standard uncertainty {} {unit}", rounded(u, 2))
        }
        (None, _) => " # fitted but NOT TOLD by the captures".to_owned(),
    };
    value.decor_mut().set_suffix(remark);
    value
}

/// Orders of the supply harmonics that were free, with the estimate of their part in phase.
fn in_phase_parts(fitted: &Fitted) -> Vec<(u32, &Estimate)> {
    let part = |estimate| match estimate {
        own @ &Estimate { parameter: Parameter::HarmonicInPhase(order), .. } => Some((order, own)),
        _ => None,
    };
    fitted.estimates.iter().filter_map(part).collect()
}

fn set_harmonic(
    supply: &mut dyn TableLike,
    order: u32,
    in_phase: &Estimate,
    fitted: &Fitted,
) -> Result<()> {
    let of_order = fitted.regulator.supply.harmonics.iter().find(|(own, _, _)| *own == order);
    let Some((_, ratio, phase_rad)) = of_order else { return Ok(()) };
    let listed = supply.remove("harmonic").unwrap_or(Item::ArrayOfTables(ArrayOfTables::new()));
    let mut harmonics = listed
        .into_array_of_tables()
        .map_err(|_| Error::malformed("a list of supply harmonics", "something else"))?;
    let is_other =
        |table: &Table| table.get("order").and_then(Item::as_integer) != Some(order.into());
    harmonics.retain(is_other);
    let mut table = Table::new();
    table.insert("order", Item::Value(i64::from(order).into()));
    let ratio_text = format!("{} %", rounded(100.0 * ratio, 8));
    let mut value = Value::from(ratio_text);
    if let Some(u) = in_phase.standard_uncertainty {
        let remark = format!(
            " # fitted, each part with a standard uncertainty near {} %",
            rounded(100.0 * u, 2)
        );
        value.decor_mut().set_suffix(remark);
    }
    table.insert("ratio", Item::Value(value));
    let phase_text = format!("{} deg", rounded(phase_rad.to_degrees(), 8));
    table.insert("phase", Item::Value(phase_text.into()));
    harmonics.push(table);
    supply.insert("harmonic", Item::ArrayOfTables(harmonics));
    Ok(())
}

/// A number with so many significant digits.
fn rounded(value: f64, digits: usize) -> f64 {
    format!("{value:.*e}", digits.saturating_sub(1)).parse().unwrap_or(value)
}

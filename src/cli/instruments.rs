//! What the commands that judge real meters have in common.

use std::path::{Path, PathBuf};

use clap::Args;
use jiff::civil::Date;

use crate::assess::instrument::{Connection, Instrument, Scatter, StepCurrents, Terms};
use crate::description::Description;
use crate::error::{Error, Noted, Result};
use crate::meter::{Archetype, Certificate, Circumstances, Meter};
use crate::uncertainty::Estimate;

use super::quantities::{current, ratio, temperature};
use super::{reading, regulated};

/// What a verdict is asked for.
#[derive(Debug, Args)]
pub(super) struct TermsArgs {
    /// Probability with which the true current must lie in its band
    #[arg(long, value_parser = ratio, default_value = "95%")]
    pub(super) probability: f64,
    /// Day certificates are held against, such as 2026-11-25; left out, they are not
    #[arg(long, value_name = "DAY", value_parser = day)]
    pub(super) today: Option<Date>,
    /// Temperature of the meter, such as 30degC
    #[arg(long, value_parser = temperature, allow_hyphen_values = true)]
    pub(super) ambient: Option<f64>,
    /// Repeated readings of one steady current, such as 6.58,6.60,6.59: their scatter counts, and a
    /// number shown is then their mean
    #[arg(long, value_name = "CURRENTS", value_parser = current, value_delimiter = ',')]
    pub(super) repeats: Vec<f64>,
    /// Share of the field's lamps out that may occur, such as 20% (may be given several times); 0, 5
    /// and 10 % when left out
    #[arg(long, value_name = "SHARE", value_parser = ratio)]
    pub(super) lamps_out: Vec<f64>,
}

pub(super) fn day(text: &str) -> std::result::Result<Date, String> {
    Certificate::day(text).map_err(|error| error.to_string())
}

impl TermsArgs {
    pub(super) fn terms(&self) -> Result<Terms> {
        let ambient = self.ambient.map(|degc| Circumstances::AMBIENT_DEGC.check(degc)).transpose();
        let terms = Terms {
            conformance_probability: self.probability,
            today: self.today,
            ambient_degc: ambient.map_err(|error| error.with_context("--ambient"))?,
            scatter: match self.repeats.as_slice() {
                [] => None,
                shown_a => Some(
                    Scatter::from_readings(shown_a)
                        .map_err(|error| error.with_context("--repeats"))?,
                ),
            },
        };
        terms.check()?;
        Ok(terms)
    }

    /// The currents that may flow, with the lamps out asked for.
    pub(super) fn currents(&self, description: &Description) -> Result<Noted<Vec<StepCurrents>>> {
        if self.lamps_out.is_empty() {
            return description.possible_currents();
        }
        let currents = description.possible_currents_with(&self.lamps_out)?;
        if description.field.is_none() {
            return Err(Error::inconsistent("--lamps-out needs a [field] in the description"));
        }
        Ok(currents)
    }

    /// The mean of the repeated readings.
    pub(super) fn mean_shown_a(&self) -> Option<f64> {
        Estimate::from_readings(&self.repeats).ok().map(|estimate| estimate.value)
    }
}

/// Which step in which connection.
#[derive(Debug, Args)]
pub(super) struct PlaceArgs {
    /// Brightness step; the brightest when left out
    #[arg(long)]
    pub(super) step: Option<u32>,
    /// With the field connected instead of the output shorted
    #[arg(long)]
    pub(super) loaded: bool,
}

impl PlaceArgs {
    /// The currents of the place asked for.
    pub(super) fn currents<'a>(
        &self,
        description: &Description,
        all: &'a [StepCurrents],
    ) -> Result<&'a StepCurrents> {
        regulated::nominal_a(description, self.step)?; // complains of a step that is not in the table
        let number = self.step.unwrap_or(description.steps.top().number);
        let connection = if self.loaded { Connection::Loaded } else { Connection::Shorted };
        let mut found = all.iter().filter(|currents| currents.connection() == connection);
        found.find(|currents| currents.step().number == number).ok_or_else(|| {
            Error::inconsistent(format!("step {number} has no current, {}", connection.words()))
                .with_hint("a [regulator] with `recheck-load` gives currents for both")
        })
    }
}

/// The meters named, of the description or archetypes; without names those of the description, and
/// for the invented example, whose meters are ideal, every archetype.
pub(super) fn meters(
    description: &Description,
    file: Option<&Path>,
    names: &[String],
) -> Result<Vec<Meter>> {
    if !names.is_empty() {
        return names.iter().map(|name| reading::meter(description, Some(name))).collect();
    }
    if file.is_none() {
        return Ok(archetypes());
    }
    Ok(description.meters.clone())
}

/// The meter named, or the first of the description, one with a data sheet before the others; the
/// invented example, whose meters are ideal, lends an archetype.
pub(super) fn one_meter(
    description: &Description,
    file: Option<&Path>,
    name: Option<&str>,
) -> Result<Meter> {
    if name.is_some() {
        return reading::meter(description, name);
    }
    if file.is_none() {
        let kind = Archetype::GeneralTrueRmsClamp;
        return Ok(Meter::with_sheet(kind.words(), kind.sheet()));
    }
    let with_sheet = description.meters.iter().find(|meter| meter.sheet.is_some());
    with_sheet.cloned().map_or_else(|| reading::meter(description, None), Ok)
}

/// Every archetype as a meter.
pub(super) fn archetypes() -> Vec<Meter> {
    Archetype::ALL.iter().map(|kind| Meter::with_sheet(kind.words(), kind.sheet())).collect()
}

/// The meters ready to be judged.
pub(super) fn ready(meters: &[Meter], mains_hz: f64, terms: &Terms) -> Result<Vec<Instrument>> {
    meters.iter().map(|meter| Instrument::of_meter(meter, mains_hz, terms.ambient_degc)).collect()
}

/// Where a command writes its folder.
#[derive(Debug, Args)]
pub(super) struct FolderArgs {
    /// Folder for plots and numbers; none is written when left out
    #[arg(long, value_name = "FOLDER")]
    pub(super) out: Option<PathBuf>,
    /// Replace the folder named with --out if it exists
    #[arg(long, requires = "out")]
    pub(super) replace: bool,
}

//! Which visit: one that is open, or a new one.

use std::path::Path;

use jiff::Timestamp;
use jiff::tz::TimeZone;

use crate::assess::instrument::Terms;
use crate::cli::console::refuse_standard_input;
use crate::cli::{reading, regulated};
use crate::description::{Description, sheet_text};
use crate::error::{Error, Result};
use crate::meter::{Archetype, Meter, Sheet};
use crate::procedure::entry::{Conditions, Opening};
use crate::procedure::{Journal, MemoryJournal, Procedure, Run};

use super::CalibrateArgs;
use super::dialogue::Dialogue;
use super::said::Said;

/// The run asked for; `None` when someone left before it began.
pub(super) fn begin(
    args: &CalibrateArgs,
    dialogue: &Dialogue,
) -> Result<Option<Run<Box<dyn Journal>>>> {
    Terms::CONFORMANCE_PROBABILITY.check(args.probability)?;
    if let Some(file) = &args.description {
        refuse_standard_input(file)?;
    }
    let Some(person) = person(args, dialogue)? else { return Ok(None) };
    practice(args, person).map(Some)
}

fn practice(args: &CalibrateArgs, person: String) -> Result<Run<Box<dyn Journal>>> {
    let description = regulated::description(args.description.as_deref())?;
    let meter = meter(&description, args)?;
    let now = Timestamp::UNIX_EPOCH;
    let journal: Box<dyn Journal> = Box::new(MemoryJournal::new(now, person.clone()));
    let regulator = args.regulator.clone().unwrap_or_else(|| "for practice".to_owned());
    let opening = opening(args, regulator, &description, &meter, person, now)?;
    Run::open(journal, opening)
}

/// Who does it: named, or asked for.
fn person(args: &CalibrateArgs, dialogue: &Dialogue) -> Result<Option<String>> {
    if let Some(person) = &args.by {
        return match person.trim() {
            "" => Err(Error::malformed("the name of a person after --by", "an empty text")),
            person => Ok(Some(person.to_owned())),
        };
    }
    if args.readings.is_some() {
        return Err(Error::malformed("--by NAME: who took these readings", "none"));
    }
    loop {
        match dialogue.ask("your name")? {
            Said::Words(name) => return Ok(Some(name)),
            Said::Leave => return Ok(None),
            _ => dialogue.say("The record says who did it.")?,
        }
    }
}

fn opening(
    args: &CalibrateArgs,
    regulator: String,
    description: &Description,
    meter: &Meter,
    person: String,
    now: Timestamp,
) -> Result<Opening> {
    let sheet = meter.sheet.clone().unwrap_or_else(|| Sheet::ideal(meter.detector));
    let procedure = match &args.procedure {
        Some(file) => Procedure::read(file)?,
        None => Procedure::embedded(),
    };
    Ok(Opening {
        regulator,
        circuit: args.circuit.clone(),
        meter: meter.name.clone(),
        day: args.day.unwrap_or_else(|| now.to_zoned(TimeZone::UTC).date()),
        person,
        conditions: Conditions {
            ambient_degc: args.ambient,
            supply_rms_v: args.supply,
            tap: args.tap.clone(),
            remark: args.conditions.clone(),
        },
        description: description.runnable_text.clone(),
        sheet: sheet_text(&meter.name, &sheet),
        procedure: procedure.text,
        conformance_probability: args.probability,
    })
}

/// The meter named, else the first with a data sheet, else for the invented example an archetype.
fn meter(description: &Description, args: &CalibrateArgs) -> Result<Meter> {
    let file: Option<&Path> = args.description.as_deref();
    crate::cli::instruments::one_meter(description, file, args.meter.as_deref())
}

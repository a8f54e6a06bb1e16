//! Which visit: one that is open, or a new one.

use std::path::{Path, PathBuf};

use jiff::civil::Date;

use crate::assess::instrument::Terms;
use crate::cli::console::refuse_standard_input;
use crate::cli::instruments::one_meter;
use crate::cli::known_meter::known_meter;
use crate::cli::regulated;
use crate::description::{Description, sheet_text};
use crate::error::{Error, Result};
use crate::logbook::{Clock, Logbook};
use crate::meter::{Meter, Sheet};
use crate::procedure::entry::{Conditions, Opening};
use crate::procedure::{
    Entry, Journal, LoggedEntry, MemoryJournal, Procedure, Run, VisitState, practice_meter,
};

use super::CalibrateArgs;
use super::dialogue::Dialogue;
use super::said::Said;

/// A run that was begun.
pub(super) struct Begun {
    pub(super) run: Run<Box<dyn Journal>>,
    /// Keys of what is asked again, because the visit goes on on another day or with another person.
    pub(super) again: Vec<String>,
}

impl Begun {
    fn new(run: Run<Box<dyn Journal>>) -> Self {
        Self { run, again: Vec::new() }
    }
}

/// The run asked for; `None` when someone left before it began.
pub(super) fn begin(args: &CalibrateArgs, dialogue: &Dialogue) -> Result<Option<Begun>> {
    Terms::CONFORMANCE_PROBABILITY.check(args.probability)?;
    if let Some(file) = &args.description {
        refuse_standard_input(file)?;
    }
    let clock = Clock::from_environment()?;
    if args.practice {
        return practice(args, dialogue, clock);
    }
    let path = args.logbook.clone().unwrap_or_else(|| PathBuf::from(Logbook::DEFAULT_NAME));
    let logbook = if path.exists() { Some(Logbook::open(&path)?) } else { None };
    let name = regulator(args, logbook.as_ref(), &path)?;
    let open = logbook.as_ref().map_or(Ok(None), |logbook| logbook.open_visit(&name))?;
    match (logbook, open) {
        (Some(logbook), Some(number)) => {
            resume(args, dialogue, logbook.with_clock(clock), clock, number)
        }
        (logbook, _) => open_new(args, dialogue, logbook, &path, name, clock),
    }
}

fn practice(args: &CalibrateArgs, dialogue: &Dialogue, clock: Clock) -> Result<Option<Begun>> {
    let description = regulated::description(args.description.as_deref())?;
    let file: Option<&Path> = args.description.as_deref();
    let now = clock.now();
    let meter = match (file, args.meter.as_deref()) {
        (None, None) => practice_meter(day_of(args, clock)),
        (file, name) => one_meter(&description, file, name)?,
    };
    let Some(person) = person(args, dialogue, None)? else { return Ok(None) };
    let journal: Box<dyn Journal> = Box::new(MemoryJournal::new(now, person.clone()));
    let regulator = args.regulator.clone().unwrap_or_else(|| "for practice".to_owned());
    let circuit = args.circuit.clone();
    let opening = opening(args, (regulator, circuit), &description, &meter, person, clock)?;
    dialogue.say("For practice: nothing is written down.")?;
    dialogue.write("\n")?;
    Ok(Some(Begun::new(Run::open(journal, opening)?)))
}

/// The visit that is open goes on with what it began with.
fn resume(
    args: &CalibrateArgs,
    dialogue: &Dialogue,
    logbook: Logbook,
    clock: Clock,
    number: u64,
) -> Result<Option<Begun>> {
    if let Some(misfit) = logbook.misfit_of_visit(number)? {
        return Err(Logbook::refused(&misfit).in_file(logbook.path()));
    }
    let visit = logbook.visit(number)?;
    let opening = visit.opening();
    dialogue.say(&format!(
        "Visit {number} to {} of {} is open: it goes on with the description, the meter ({}) and \
         the procedure it began with.",
        opening.regulator, opening.day, opening.meter
    ))?;
    if let Some(meter) = args.meter.as_ref().filter(|meter| **meter != opening.meter) {
        return Err(Error::inconsistent(format!(
            "visit {number} was begun with the meter \"{}\", not \"{meter}\": readings of two \
             meters would be mixed",
            opening.meter
        ))
        .with_hint(
            "go on with the same meter, or close the visit with `end WHY` and open another",
        ));
    }
    dialogue.write("\n")?;
    let Some(person) = person(args, dialogue, Some(&opening.person))? else { return Ok(None) };
    let logbook = written_by(args, logbook, &person)?;
    let journal: Box<dyn Journal> = Box::new(logbook);
    let run = Run::resume(journal, number)?;
    // A file tells what was done, and asks nothing.
    let again = if args.readings.is_some() {
        Vec::new()
    } else {
        still_so(&run, dialogue, clock, &person)?
    };
    Ok(Some(Begun { run, again }))
}

/// Says what must still be so, and returns the keys of what is asked again: everything that was answered
/// on another day or by another person.
fn still_so<J: Journal>(
    run: &Run<J>,
    dialogue: &Dialogue,
    clock: Clock,
    person: &str,
) -> Result<Vec<String>> {
    let still = run.must_still_hold();
    if still.is_empty() {
        return Ok(Vec::new());
    }
    dialogue.say("What was answered must still be so before anything goes on:")?;
    for (item, logged) in &still {
        let said = match &logged.entry {
            Entry::Confirmation(answer) => answer.text.as_deref().unwrap_or("yes"),
            _ => "yes",
        };
        let at = logged.at.strftime("%Y-%m-%d %H:%M UTC");
        dialogue.say_below(&format!("- {} {said} ({}, {at})", item.text, logged.by))?;
    }
    let is_another =
        |logged: &LoggedEntry| logged.by != person || clock.day_of(logged.at) != clock.today();
    let again: Vec<String> = still
        .iter()
        .filter(|(_, logged)| is_another(logged))
        .map(|(item, _)| item.key.clone())
        .collect();
    if again.is_empty() {
        dialogue
            .say("If anything of this is not so any more: make the circuit dead, `end WHY`.")?;
    } else {
        dialogue.say(
            "Another day or another person: nothing of this is sure any more. Begin with the circuit \
             dead; each is asked again, in its order, and written down anew.",
        )?;
    }
    dialogue.write("\n")?;
    Ok(again)
}

fn open_new(
    args: &CalibrateArgs,
    dialogue: &Dialogue,
    logbook: Option<Logbook>,
    path: &Path,
    name: String,
    clock: Clock,
) -> Result<Option<Begun>> {
    let description = description(args, logbook.as_ref(), &name)?;
    let now = clock.now();
    let day = day_of(args, clock);
    let meter = meter(args, logbook.as_ref(), &description, day)?;
    let circuit = match (&args.circuit, &logbook) {
        (Some(circuit), _) => Some(circuit.clone()),
        (None, None) => None,
        (None, Some(logbook)) => {
            let circuits = logbook.circuits()?;
            let mut own = circuits.into_iter().filter(|filed| filed.card.regulator == name);
            own.next().filter(|_| own.next().is_none()).map(|filed| filed.card.name)
        }
    };
    let Some(person) = person(args, dialogue, None)? else { return Ok(None) };
    let opening = opening(args, (name, circuit), &description, &meter, person.clone(), clock)?;
    // What cannot be judged, or is not sound, is found out before anything is written.
    let trial = Run::open(MemoryJournal::new(now, person.clone()), opening.clone())?;
    if let Some(file) = &args.readings {
        super::from_file::weighed(&trial, file, args.keep_doubtful)?;
    }
    let logbook = match logbook {
        Some(logbook) => logbook,
        None => Logbook::create(path)?,
    };
    let logbook = written_by(args, logbook.with_clock(clock), &person)?;
    let journal: Box<dyn Journal> = Box::new(logbook);
    let run = Run::open(journal, opening)?;
    dialogue.say(&format!(
        "Visit {} to {} with {}, in the logbook {}.",
        run.visit().number(),
        run.visit().opening().regulator,
        run.visit().opening().meter,
        path.display()
    ))?;
    dialogue.write("\n")?;
    Ok(Some(Begun::new(run)))
}

fn written_by(args: &CalibrateArgs, logbook: Logbook, person: &str) -> Result<Logbook> {
    logbook.check_end()?;
    let logbook = logbook.with_person(person)?;
    Ok(if args.despite_clock { logbook.despite_clock() } else { logbook })
}

/// The regulator named, the one that is being visited, or the only one there is.
fn regulator(args: &CalibrateArgs, logbook: Option<&Logbook>, path: &Path) -> Result<String> {
    if let Some(name) = &args.regulator {
        return match name.trim() {
            "" => Err(Error::malformed("a name after --regulator", "an empty text")),
            name => Ok(name.to_owned()),
        };
    }
    let expected = "--regulator NAME: which one is it?";
    let Some(logbook) = logbook else {
        return Err(Error::malformed(expected, "none").with_hint(format!(
            "there is no logbook {} yet; with a description and a name for the regulator it is \
             begun, --practice needs neither",
            path.display()
        )));
    };
    let mut open: Vec<String> = logbook
        .visits()?
        .into_iter()
        .filter(|visit| visit.state == VisitState::Open)
        .map(|visit| visit.regulator)
        .collect();
    let mut known: Vec<String> =
        logbook.regulators()?.into_iter().map(|filed| filed.card.name).collect();
    match (open.len(), known.len()) {
        (1, _) => Ok(open.remove(0)),
        (0, 1) => Ok(known.remove(0)),
        _ => {
            known.extend(open.into_iter().filter(|name| !known.contains(name)).collect::<Vec<_>>());
            let found = if known.is_empty() {
                "none".to_owned()
            } else {
                format!("{} known", known.join(", "))
            };
            Err(Error::malformed(expected, found))
        }
    }
}

/// The description given, else the one the logbook has.
fn description(args: &CalibrateArgs, logbook: Option<&Logbook>, name: &str) -> Result<Description> {
    if let Some(file) = &args.description {
        return Description::read(file);
    }
    let card = logbook.map_or(Ok(None), |logbook| logbook.regulator(name))?;
    match card {
        Some(filed) => {
            Description::parse(&filed.card.description, Path::new("")).map_err(|error| {
                error.with_context(format!("description of {name}, entry {}", filed.number))
            })
        }
        None => Err(Error::inconsistent(format!("nothing is known of the regulator {name}"))
            .with_hint(
                "name its description: loopcrest calibrate bench.toml --regulator NAME; or add it \
                 to the logbook",
            )),
    }
}

/// The meter of the logbook with its newest certificate, else one of the description or an archetype.
fn meter(
    args: &CalibrateArgs,
    logbook: Option<&Logbook>,
    description: &Description,
    day: Date,
) -> Result<Meter> {
    if let Some(logbook) = logbook {
        let name = args.meter.as_deref();
        if let Some(meter) = known_meter(logbook, name, day, description.frequency_hz)? {
            return Ok(meter);
        }
    }
    // A description of the logbook is someone's own, not the invented example.
    let file = args.description.as_deref().unwrap_or(Path::new(""));
    one_meter(description, Some(file), args.meter.as_deref())
}

/// Who does it: named, or asked for; a visit that goes on offers who began it.
fn person(
    args: &CalibrateArgs,
    dialogue: &Dialogue,
    before: Option<&str>,
) -> Result<Option<String>> {
    if let Some(person) = &args.by {
        return match person.trim() {
            "" => Err(Error::malformed("the name of a person after --by", "an empty text")),
            person => Ok(Some(person.to_owned())),
        };
    }
    if args.readings.is_some() {
        return Err(Error::malformed("--by NAME: who took these readings", "none"));
    }
    let prompt =
        before.map_or("your name".to_owned(), |before| format!("your name, or Enter for {before}"));
    loop {
        match (dialogue.ask(&prompt)?, before) {
            (Said::Words(name), _) => return Ok(Some(name)),
            (Said::Leave, _) => return Ok(None),
            (Said::Nothing, Some(before)) => return Ok(Some(before.to_owned())),
            _ => dialogue.say("The record says who did it.")?,
        }
    }
}

/// The day of the visit: named, or that of the clock.
fn day_of(args: &CalibrateArgs, clock: Clock) -> Date {
    args.day.unwrap_or_else(|| clock.today())
}

fn opening(
    args: &CalibrateArgs,
    (regulator, circuit): (String, Option<String>),
    description: &Description,
    meter: &Meter,
    person: String,
    clock: Clock,
) -> Result<Opening> {
    let sheet = meter.sheet.clone().unwrap_or_else(|| Sheet::ideal(meter.detector));
    let procedure = match &args.procedure {
        Some(file) => Procedure::read(file)?,
        None => Procedure::embedded(),
    };
    Ok(Opening {
        regulator,
        circuit,
        meter: meter.name.clone(),
        day: day_of(args, clock),
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

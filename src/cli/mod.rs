//! The command line: parse, call, show.
//!
//! Knows: arguments, the terminal, exit codes. Refuses to know: arithmetic.
//!
//! Conventions: results go to standard output, everything else to standard error; exit codes are
//! 0 done, 1 a verdict that was asked for is not "fit" or not "in band", 2 wrong input,
//! 3 not converged, 4 files, 5 some files of a folder were skipped,
//! 6 good but for a danger to people; `--json` prints the same numbers as the tables.

mod args;
mod budget;
mod calibrate;
mod capture;
mod captures;
mod compare;
mod channel_args;
mod complain;
mod completions;
mod consequences;
mod console;
mod contrast;
mod decision;
mod demo;
mod demo_screen;
mod field;
mod field_csv;
mod field_figures;
mod file_progress;
mod estimate;
mod exercises;
mod figures;
mod fit;
mod fit_capture;
mod fitness;
mod follow;
mod instruments;
mod judge;
mod known_meter;
mod lesson;
mod lamps_out;
mod loads;
mod logbook;
mod logbook_args;
mod meters;
mod operate;
mod outcome;
mod overview;
#[cfg(feature = "web")]
mod page;
mod paper_arg;
mod progress;
mod protection;
mod quantities;
mod reading;
mod readings;
mod record;
mod record_figures;
mod recorded;
mod regulated;
mod requirement;
mod schema;
mod shape;
mod situation;
mod starter;
mod steps;
mod sweep;
mod table;
mod teach_data;
mod training;
mod transient;
mod varied;
mod worksheet;
mod written_args;

use std::ffi::OsString;
use std::process::ExitCode;

use clap::FromArgMatches;

use crate::error::Error;

use args::{Arguments, Command};
use outcome::Outcome;

/// Runs the program with these arguments, the first being its own name, and returns its exit code.
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    let parsed = overview::command()
        .try_get_matches_from(arguments)
        .and_then(|matches| Arguments::from_arg_matches(&matches));
    let arguments = match parsed {
        Ok(arguments) => arguments,
        Err(usage) => {
            // A closed pipe behind `--help | head` is no failure.
            let _ = usage.print();
            return ExitCode::from(u8::try_from(usage.exit_code()).unwrap_or(2));
        }
    };
    let json = arguments.json;
    let command = arguments.command.unwrap_or_default();
    if json && !command.has_json() {
        let error =
            Error::inconsistent("--json says nothing to this command: it prints no numbers");
        return complain::complain(&error.with_hint("leave --json out"));
    }
    let outcome = match command {
        Command::Judge(args) => judge::run(&args, json),
        Command::Shape(args) => shape::run(&args, json),
        Command::Capture(args) => capture::run(&args, json),
        Command::Record(args) => record::run(&args, json),
        Command::Captures(args) => captures::run(&args, json),
        Command::Situation(args) => situation::run(&args, json),
        Command::Operate(args) => operate::run(&args, json),
        Command::Loads(args) => loads::run(&args, json),
        Command::Field(args) => field::run(&args, json),
        Command::LampsOut(args) => lamps_out::run(&args, json),
        Command::Follow(args) => follow::run(&args, json),
        Command::Fit(args) => fit::run(&args, json),
        Command::Transient(args) => transient::run(&args, json),
        Command::Protection(args) => protection::run(&args, json),
        Command::Contrast(args) => contrast::run(&args, json),
        Command::Estimate(args) => estimate::run(&args, json),
        Command::Sweep(args) => sweep::run(&args, json),
        Command::Reading(args) => reading::run(&args, json),
        Command::Fitness(args) => fitness::run(&args, json),
        Command::Budget(args) => budget::run(&args, json),
        Command::Requirement(args) => requirement::run(&args, json),
        Command::Compare(args) => compare::run(&args, json),
        Command::Consequences(args) => consequences::run(&args, json),
        Command::Logbook(args) => logbook::run(&args, json),
        Command::Meters(args) => meters::run(&args, json),
        Command::Calibrate(args) => calibrate::run(&args, json),
        Command::Demo(args) => demo::run(&args),
        Command::Exercises(args) => exercises::run(&args, json),
        Command::Steps(args) => steps::run(&args, json),
        Command::Worksheet(args) => worksheet::run(&args, json),
        Command::Lesson(args) => lesson::run(&args, json),
        #[cfg(feature = "web")]
        Command::Page(args) => page::run(&args),
        Command::Starter(args) => starter::run(&args),
        Command::Schema => schema::run(),
        Command::Completions(args) => completions::run(&args),
        Command::Training(args) => training::run(&args, json),
        Command::TeachData(args) => teach_data::run(&args, json),
    };
    match outcome {
        Ok(Outcome::Done) => ExitCode::SUCCESS,
        Ok(Outcome::VerdictAgainst) => ExitCode::from(1),
        // As a shell reports a program that ended on Ctrl-C.
        Ok(Outcome::Interrupted) => ExitCode::from(Outcome::INTERRUPTED_CODE),
        Ok(Outcome::SomeFailed) => ExitCode::from(5),
        Ok(Outcome::Danger) => ExitCode::from(6),
        Err(error) => complain::complain(&error),
    }
}

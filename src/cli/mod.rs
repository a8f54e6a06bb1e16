//! The command line: parse, call, show.
//!
//! Knows: arguments, the terminal, exit codes. Refuses to know: arithmetic.
//!
//! Conventions: results go to standard output, everything else to standard error; exit codes are
//! 0 done, 1 a verdict that was asked for is not "fit" or not "in band", 2 wrong input,
//! 3 not converged, 4 files; `--json` prints the same numbers as the tables.

mod args;
mod capture;
mod complain;
mod completions;
mod console;
mod contrast;
mod estimate;
mod field;
mod field_csv;
mod field_figures;
mod figures;
mod follow;
mod judge;
mod lamps_out;
mod loads;
mod operate;
mod outcome;
mod progress;
mod quantities;
mod readings;
mod regulated;
mod schema;
mod shape;
mod starter;
mod steps;
mod sweep;
mod table;
mod transient;
mod varied;

use std::ffi::OsString;
use std::process::ExitCode;

use clap::Parser;

use crate::error::Error;

use args::{Arguments, Command};
use outcome::Outcome;

/// Runs the program with these arguments, the first being its own name, and returns its exit code.
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    let arguments = match Arguments::try_parse_from(arguments) {
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
        Command::Operate(args) => operate::run(&args, json),
        Command::Loads(args) => loads::run(&args, json),
        Command::Field(args) => field::run(&args, json),
        Command::LampsOut(args) => lamps_out::run(&args, json),
        Command::Follow(args) => follow::run(&args, json),
        Command::Transient(args) => transient::run(&args, json),
        Command::Contrast(args) => contrast::run(&args, json),
        Command::Estimate(args) => estimate::run(&args, json),
        Command::Sweep(args) => sweep::run(&args, json),
        Command::Steps(args) => steps::run(&args, json),
        Command::Starter(args) => starter::run(&args),
        Command::Schema => schema::run(),
        Command::Completions(args) => completions::run(&args),
    };
    match outcome {
        Ok(Outcome::Done) => ExitCode::SUCCESS,
        Ok(Outcome::VerdictAgainst) => ExitCode::from(1),
        // As a shell reports a program that ended on Ctrl-C.
        Ok(Outcome::Interrupted) => ExitCode::from(130),
        Err(error) => complain::complain(&error),
    }
}

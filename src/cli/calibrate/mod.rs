//! The guided calibration.

mod begin;
mod dialogue;
mod from_file;
mod guide;
mod said;
mod summary;
mod words;

use std::io::Write;
use std::path::PathBuf;

use clap::Args;
use jiff::civil::Date;

use crate::error::{Error, Result};
use crate::procedure::{Journal, Run};
use crate::report::{CalibrationDocument, Document, to_json};

use super::console::{folded, print};
use super::instruments::day;
use super::outcome::Outcome;
use super::quantities::{ratio, temperature, voltage};

use dialogue::Dialogue;
use guide::{Guide, Left};

#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  loopcrest calibrate bench.toml --regulator R-07 --meter general-true-rms-clamp\n  \
                  loopcrest calibrate --practice\n  \
                  loopcrest calibrate --practice --readings readings.csv --by \"A. Person\"\n\n\
                  A file of readings has the columns step, moment (as-found, as-left), output \
                  (shorted, field) and shown, in the order they were taken. With the columns item, \
                  answer and after it answers the procedure too: a row names an item by its key and \
                  says yes or no with a reason, words, or for a protection acted or did-not-act with \
                  what was shown and after how many seconds; the procedure's order holds then. \
                  Nothing is written unless the whole file is sound.\n\n\
                  Exit codes: 0 complete and every step left right, 1 something is not, 6 right but \
                  read with a clamp whose voltage category is below the loop's voltage, 130 the \
                  visit stays open: the same command without --readings goes on.\n\n\
                  Qualified persons only: a series circuit carries thousands of volts. Switch off, lock \
                  out and prove dead before fitting leads or a clamp; never open an energised \
                  circuit. The maker's manual and local codes come first."
)]
pub(super) struct CalibrateArgs {
    /// Description of the regulator; the logbook's when left out, with --practice the invented example
    pub(super) description: Option<PathBuf>,
    /// The regulator, by its name in the logbook
    #[arg(long, value_name = "NAME")]
    pub(super) regulator: Option<String>,
    /// The circuit it carries
    #[arg(long, value_name = "NAME")]
    pub(super) circuit: Option<String>,
    /// The meter: of the logbook, of the description, or an archetype (see `loopcrest meters`)
    #[arg(long, value_name = "METER")]
    pub(super) meter: Option<String>,
    /// Who does it
    #[arg(long, value_name = "NAME")]
    pub(super) by: Option<String>,
    /// The logbook [default: loopcrest-logbook.sqlite in this folder]
    #[arg(long, value_name = "FILE", env = "LOOPCREST_LOGBOOK")]
    pub(super) logbook: Option<PathBuf>,
    /// Write nothing down, in no logbook: for practice
    #[arg(long)]
    pub(super) practice: bool,
    /// Write even though the clock is behind the last entry
    #[arg(long)]
    pub(super) despite_clock: bool,
    /// Readings, and answers where it has them, from a file instead of questions
    #[arg(long, value_name = "FILE")]
    pub(super) readings: Option<PathBuf>,
    /// Keep readings of the file that look like slips, with what is doubtful about them
    #[arg(long, requires = "readings")]
    pub(super) keep_doubtful: bool,
    /// Procedure to follow (see `loopcrest starter --procedure`)
    #[arg(long, value_name = "FILE")]
    pub(super) procedure: Option<PathBuf>,
    /// Probability with which the true current must lie in its band
    #[arg(long, value_parser = ratio, default_value = "95%")]
    pub(super) probability: f64,
    /// Day of the visit; today (UTC) when left out
    #[arg(long, value_name = "DAY", value_parser = day)]
    pub(super) day: Option<Date>,
    /// Temperature of the meter, such as 12degC
    #[arg(long, value_parser = temperature, allow_hyphen_values = true)]
    pub(super) ambient: Option<f64>,
    /// Supply voltage, RMS, such as 478V
    #[arg(long, value_parser = voltage)]
    pub(super) supply: Option<f64>,
    /// Output tap in use
    #[arg(long)]
    pub(super) tap: Option<String>,
    /// Weather and anything else about the conditions
    #[arg(long, value_name = "TEXT")]
    pub(super) conditions: Option<String>,
}

/// A whole calibration, asked for a question at a time or read from a file.
pub(super) fn run(args: &CalibrateArgs, json: bool) -> Result<Outcome> {
    let dialogue = Dialogue::new(json);
    if args.readings.is_none() {
        leave_on_interrupt(args.practice)?;
    }
    let begun = begin::begin(args, &dialogue)?;
    let Some(begun) = begun else { return Ok(Outcome::Interrupted) };
    let (mut run, again) = (begun.run, begun.again);
    let is_kept = !args.practice;
    let (left, is_whole) = match &args.readings {
        Some(file) => {
            let has_answers = from_file::enter(&mut run, file, args.keep_doubtful)?;
            let is_closed = run.visit().closing().is_some();
            (is_closed.then_some(Left::Closed), has_answers)
        }
        None => (Some(Guide::new(&mut run, &dialogue, again).lead()?), true),
    };
    let document = CalibrationDocument::new(&run, is_whole, is_kept);
    let is_dangerous = !document.dangers.is_empty();
    let is_good = document.is_good;
    let is_complete = document.state == "complete";
    if json {
        print(&to_json(&Document::Calibration(Box::new(document))))?;
    } else {
        print(&summary::text(&document))?;
        goodbye(&run, left, is_kept)?;
    }
    Ok(match left {
        Some(Left::Open) => Outcome::Interrupted,
        Some(Left::Closed) if !is_good || !is_complete => Outcome::VerdictAgainst,
        None if !is_good => Outcome::VerdictAgainst,
        None if is_kept => Outcome::Interrupted,
        _ if is_dangerous => Outcome::Danger,
        _ => Outcome::Done,
    })
}

fn goodbye<J: Journal>(run: &Run<J>, left: Option<Left>, is_kept: bool) -> Result<()> {
    let number = run.visit().number();
    let text = match (left, is_kept) {
        (Some(Left::Closed), true) => format!("\nVisit {number} is closed.\n"),
        (Some(Left::Open), true) => format!(
            "\nVisit {number} stays open; everything entered is kept. The same command goes on.\n"
        ),
        (None, true) => {
            let words = format!(
                "Visit {number} stays open; everything entered is kept. The same command without \
                 --readings goes on with questions; the rows of this file would be entered twice."
            );
            format!("\n{}", folded(&words, ""))
        }
        (_, false) => "\nFor practice: nothing was written down.\n".to_owned(),
    };
    print(&text)
}

/// Ctrl-C while a line is waited for: everything entered is in the journal already.
fn leave_on_interrupt(practice: bool) -> Result<()> {
    ctrlc::set_handler(move || {
        let text = if practice {
            "\nLeft. For practice: nothing was written down.\n"
        } else {
            "\nLeft. Everything entered is kept; the same command goes on.\n"
        };
        let _ = anstream::stderr().write_all(text.as_bytes());
        std::process::exit(130);
    })
    .map_err(|error| Error::io("signals", std::io::Error::other(error)))
}

use std::fmt::Write;

use clap::Args;

use crate::cli::console::print;
use crate::cli::logbook_args::LogbookArgs;
use crate::cli::outcome::Outcome;
use crate::cli::table;
use crate::error::Result;
use crate::report::{Document, VisitRowPart, VisitsDocument, to_json};

#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  loopcrest logbook visits\n  loopcrest logbook visits --regulator R-07"
)]
pub(super) struct VisitsArgs {
    /// Only those on this regulator
    #[arg(long, value_name = "NAME")]
    regulator: Option<String>,
    #[command(flatten)]
    logbook: LogbookArgs,
}

/// Place of the circuit in a row.
const CIRCUIT: usize = 3;

/// The visits in a table.
pub(super) fn run(args: &VisitsArgs, json: bool) -> Result<Outcome> {
    let logbook = args.logbook.read()?;
    let rows = match &args.regulator {
        Some(regulator) => logbook.visits_of(regulator)?,
        None => logbook.visits()?,
    };
    let document = VisitsDocument::new(&logbook, &rows);
    if json {
        print(&to_json(&Document::LogbookVisits(Box::new(document))))?;
    } else {
        print(&text(&document))?;
    }
    Ok(Outcome::Done)
}

fn text(document: &VisitsDocument) -> String {
    let mut text = format!("Visits in {}\n\n", document.logbook);
    if document.visits.is_empty() {
        return text + "  none yet\n";
    }
    let mut rows: Vec<Vec<String>> = document.visits.iter().map(row).collect();
    // A column with nothing in it takes the room of the names.
    let lines = if document.visits.iter().all(|visit| visit.circuit.is_none()) {
        for row in &mut rows {
            row.remove(CIRCUIT);
        }
        let header = ["visit", "day", "regulator", "meter", "by", "readings", "state", "next due"];
        table::lines(&header, &rows, &[0, 5], 3)
    } else {
        let header = [
            "visit",
            "day",
            "regulator",
            "circuit",
            "meter",
            "by",
            "readings",
            "state",
            "next due",
        ];
        table::lines(&header, &rows, &[0, 6], 4)
    };
    for line in lines {
        let _ = writeln!(text, " {line}");
    }
    text + "\n`loopcrest logbook show VISIT` shows one with all its entries.\n"
}

fn row(visit: &VisitRowPart) -> Vec<String> {
    let dash = || "-".to_owned();
    vec![
        visit.number.to_string(),
        visit.day.clone(),
        visit.regulator.clone(),
        visit.circuit.clone().unwrap_or_else(dash),
        visit.meter.clone(),
        visit.person.clone(),
        visit.readings.to_string(),
        visit.state_words.to_owned(),
        visit.next_due.clone().unwrap_or_else(dash),
    ]
}

use std::fmt::Write;

use clap::Args;

use crate::cli::console::{folded, print};
use crate::cli::logbook_args::LogbookArgs;
use crate::cli::outcome::Outcome;
use crate::cli::table;
use crate::error::Result;
use crate::report::{Document, EntryDocument, EntryPart, VisitDocument, to_json};

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  loopcrest logbook show 1\n  loopcrest logbook show 1 --json")]
pub(super) struct ShowArgs {
    /// Number of a visit, or of an entry
    number: u64,
    #[command(flatten)]
    logbook: LogbookArgs,
}

/// A visit when the number is one, else the entry.
pub(super) fn run(args: &ShowArgs, json: bool) -> Result<Outcome> {
    let logbook = args.logbook.read()?;
    if logbook.visit_row(args.number)?.is_some() {
        let document = VisitDocument::of(&logbook, args.number)?;
        if json {
            print(&to_json(&Document::LogbookVisit(Box::new(document))))?;
        } else {
            print(&visit(&document))?;
        }
        return Ok(Outcome::Done);
    }
    let document = EntryDocument::of(&logbook, args.number)?;
    if json {
        print(&to_json(&Document::LogbookEntry(Box::new(document))))?;
    } else {
        print(&entry(&document.entry))?;
    }
    Ok(Outcome::Done)
}

fn visit(document: &VisitDocument) -> String {
    let visit = &document.visit;
    let mut text =
        format!("Visit {} on {}: {}\n", visit.number, visit.regulator, visit.state_words);
    let circuit = visit.circuit.as_ref().map_or(String::new(), |name| format!(", circuit {name}"));
    let due = visit.next_due.as_ref().map_or(String::new(), |day| format!(", next due {day}"));
    text += &folded(
        &format!("{}, {} with {}{circuit}{due}", visit.day, visit.person, visit.meter),
        "  ",
    );
    text.push('\n');
    let rows: Vec<Vec<String>> = document
        .entries
        .iter()
        .map(|entry| {
            let instead = match (entry.replaces, entry.replaced_by) {
                (_, Some(newer)) => format!("counts no more: {newer}"),
                (Some(older), None) => format!("in place of {older}"),
                (None, None) => String::new(),
            };
            vec![entry.number.to_string(), short(&entry.at), entry.says.clone(), instead]
        })
        .collect();
    for line in table::lines(&["entry", "written, UTC", "says", ""], &rows, &[0], 2) {
        let _ = writeln!(text, " {line}");
    }
    text
}

/// A time to the second, without the letters around it.
fn short(at: &str) -> String {
    at.split('.').next().unwrap_or(at).trim_end_matches('Z').replace('T', " ")
}

fn entry(entry: &EntryPart) -> String {
    let mut text = folded(&format!("Entry {}: {}", entry.number, entry.says), "");
    let mut line = |name: &str, value: &str| {
        let _ = writeln!(text, "  {name:14}{value}");
    };
    line("written", &format!("{} by {}", entry.at, entry.by));
    line("program", &entry.program);
    if let Some(visit) = entry.visit {
        line("visit", &visit.to_string());
    }
    if let Some(older) = entry.replaces {
        line("in place of", &format!("entry {older}"));
    }
    if let Some(newer) = entry.replaced_by {
        line("replaced by", &format!("entry {newer}; it counts no more"));
    }
    line("hash", &entry.hash);
    line("before it", &entry.previous_hash);
    text.push('\n');
    text + &to_json(&entry.entry)
}

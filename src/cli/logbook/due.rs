use std::fmt::Write;

use clap::Args;

use crate::cli::console::{cautions, folded, print};
use crate::cli::logbook_args::LogbookArgs;
use crate::cli::outcome::Outcome;
use crate::cli::table;
use crate::error::Result;
use crate::report::{Document, DueDocument, DuePart, to_json};

use super::history::{DueTerms, steps};

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  loopcrest logbook due\n  \
                        loopcrest logbook due --interval \"6 months\" --today 2026-11-25\n\n\
                        Exit code 1 when a regulator is due.")]
pub(super) struct DueArgs {
    #[command(flatten)]
    due: DueTerms,
    #[command(flatten)]
    logbook: LogbookArgs,
}

/// When every regulator is due.
pub(super) fn run(args: &DueArgs, json: bool) -> Result<Outcome> {
    let logbook = args.logbook.read()?;
    let (terms, today) = (&args.due, args.due.today()?);
    let mut parts = Vec::new();
    for filed in logbook.regulators()? {
        let name = &filed.card.name;
        let due = logbook.due_day(name, &steps(&filed.card)?, terms.interval, terms.probability)?;
        parts.push(DuePart::new(name, &due, today));
    }
    let is_any_due = parts.iter().any(|part| part.is_due);
    let document = DueDocument::new(today, &terms.interval, parts);
    let text = text(&document);
    if json {
        print(&to_json(&Document::Due(Box::new(document))))?;
    } else {
        print(&text)?;
    }
    Ok(if is_any_due { Outcome::VerdictAgainst } else { Outcome::Done })
}

fn text(document: &DueDocument) -> String {
    let mut text =
        format!("Due on {} with an interval of {}\n\n", document.today, document.interval);
    if document.regulators.is_empty() {
        return text + "  no regulator is entered yet: `loopcrest logbook add regulator`\n";
    }
    let row = |part: &DuePart| {
        vec![
            part.regulator.clone(),
            part.last_done.clone().unwrap_or_else(|| "never".into()),
            part.day.clone().unwrap_or_else(|| "at once".into()),
            if part.is_due { "DUE".into() } else { String::new() },
        ]
    };
    let rows: Vec<Vec<String>> = document.regulators.iter().map(row).collect();
    for line in table::lines(&["regulator", "last done", "next", ""], &rows, &[], 0) {
        let _ = writeln!(text, " {line}");
    }
    text.push('\n');
    for part in &document.regulators {
        text += &folded(&format!("{}: {}", part.regulator, part.words), "  ");
    }
    text + &cautions()
}

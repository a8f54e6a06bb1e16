use std::path::PathBuf;

use clap::Args;

use crate::cli::console::{folded, print, refuse_standard_input};
use crate::cli::logbook_args::LogbookArgs;
use crate::cli::outcome::Outcome;
use crate::error::Result;
use crate::logbook::{ExportFormat, Logbook};
use crate::report::{Document, LogbookCopyDocument, to_json};

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  loopcrest logbook export logbook.jsonl\n  \
                  loopcrest logbook export logbook.csv\n  \
                  loopcrest logbook export readings.csv --readings\n\n\
                  The first two are complete: every entry with its hash, and can be imported.")]
pub(super) struct ExportArgs {
    /// New file: .jsonl for one JSON object to the line, .csv for a table
    file: PathBuf,
    /// Only the readings that count, as a table for a spreadsheet
    #[arg(long)]
    readings: bool,
    #[command(flatten)]
    logbook: LogbookArgs,
}

#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  loopcrest logbook import logbook.jsonl --logbook copy.sqlite\n\n\
                  The logbook named must be a new one; it appears whole or not at all."
)]
pub(super) struct ImportArgs {
    /// An export, .jsonl or .csv
    file: PathBuf,
    #[command(flatten)]
    logbook: LogbookArgs,
}

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  loopcrest logbook backup before-winter.sqlite")]
pub(super) struct BackupArgs {
    /// New file
    file: PathBuf,
    #[command(flatten)]
    logbook: LogbookArgs,
}

/// All of it into a file of text.
pub(super) fn export(args: &ExportArgs, json: bool) -> Result<Outcome> {
    let format = ExportFormat::of(&args.file)?;
    let logbook = args.logbook.read()?;
    let document = if args.readings {
        let readings = logbook.export_readings(&args.file)?;
        LogbookCopyDocument::of_readings(&logbook, &args.file, readings)
    } else {
        let head = logbook.export(&args.file, format)?;
        LogbookCopyDocument::new(&logbook, "export", &args.file, head.as_ref())
    };
    told(document, json)
}

/// A new logbook from a file of text.
pub(super) fn import(args: &ImportArgs, json: bool) -> Result<Outcome> {
    refuse_standard_input(&args.file)?;
    let logbook = Logbook::import(args.logbook.file(), &args.file)?;
    let head = logbook.head()?;
    told(LogbookCopyDocument::new(&logbook, "import", &args.file, head.as_ref()), json)
}

/// A copy as it stands.
pub(super) fn backup(args: &BackupArgs, json: bool) -> Result<Outcome> {
    let logbook = args.logbook.read()?;
    let head = logbook.backup(&args.file)?;
    told(LogbookCopyDocument::new(&logbook, "backup", &args.file, head.as_ref()), json)
}

fn told(document: LogbookCopyDocument, json: bool) -> Result<Outcome> {
    if json {
        print(&to_json(&Document::LogbookCopy(Box::new(document))))?;
        return Ok(Outcome::Done);
    }
    let (logbook, file) = (&document.logbook, &document.file);
    let mut text = match (document.readings, document.action) {
        (Some(readings), _) => format!("{readings} readings of {logbook} written into {file}\n"),
        (None, "import") => format!("{logbook} made from {file}\n"),
        (None, _) => format!("{logbook} written into {file}\n"),
    };
    if let Some(head) = &document.head {
        text += &folded(&format!("{} entries; hash of the last:", head.number), "  ");
        text += &format!("  {}\n", head.hash);
    }
    print(&text)?;
    Ok(Outcome::Done)
}

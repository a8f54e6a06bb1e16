use std::path::PathBuf;

use clap::Args;

use crate::cli::console::{folded, print};
use crate::cli::logbook_args::LogbookArgs;
use crate::cli::outcome::Outcome;
use crate::cli::paper_arg::PaperArg;
use crate::cli::regulated;
use crate::error::{Error, Result};
use crate::procedure::Bench;
use crate::report::visit_record::{VisitCards, VisitRecordDocument, visit_figures, visit_writing};
use crate::report::{Document, to_json};

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  loopcrest logbook record 1 --out record-1\n  \
                        loopcrest logbook record 1 --out record-1 --paper letter --replace\n  \
                        loopcrest logbook record 1 --json\n\n\
                        Exit code 1 when the visit is not as it was written, or its meter is in doubt.")]
pub(super) struct RecordArgs {
    /// Number of the visit
    visit: u64,
    /// Folder for record.html, record.pdf and record.json
    #[arg(long, value_name = "FOLDER")]
    out: Option<PathBuf>,
    /// Replace that folder if it exists
    #[arg(long, requires = "out")]
    replace: bool,
    /// Size of paper
    #[arg(long, value_enum, default_value_t)]
    paper: PaperArg,
    #[command(flatten)]
    logbook: LogbookArgs,
}

/// The record of a visit, on paper and screen.
pub(super) fn run(args: &RecordArgs, json: bool) -> Result<Outcome> {
    if args.out.is_none() && !json {
        return Err(Error::inconsistent("a record is written into a folder")
            .with_hint("name one with --out, or take --json for its numbers"));
    }
    let logbook = args.logbook.read()?;
    let visit = logbook.visit(args.visit)?;
    let cards = VisitCards::of(&logbook, &visit)?;
    let bench = Bench::of(visit.opening())
        .map_err(|error| error.with_context(format!("visit {}", args.visit)))?;
    let record = VisitRecordDocument::new(&visit, &bench, &cards)?;
    let is_doubtful = record.misfit.is_some() || !record.doubts.is_empty();
    let mut said = record
        .misfit
        .as_ref()
        .map_or(String::new(), |misfit| folded(&format!("NOT as it was written: {misfit}."), ""));
    said += &record
        .doubts
        .iter()
        .map(|doubt| folded(&format!("IN DOUBT: {}.", doubt.words), ""))
        .collect::<String>();
    let (number, state, regulator) = (record.visit, record.state, record.regulator.clone());
    let writing = visit_writing(&record, visit_figures(&visit, &bench)?);
    let lacking = writing.lacking();
    let json_text = to_json(&Document::VisitRecord(Box::new(record)));
    let size = args.paper.size();
    let folder = regulated::write(args.out.as_ref(), args.replace, || {
        Ok(vec![
            ("record.html".to_owned(), writing.html(size).into_bytes()),
            ("record.pdf".to_owned(), writing.pdf(size)?),
            ("record.json".to_owned(), json_text.clone().into_bytes()),
        ])
    })?;
    if json {
        print(&json_text)?;
    } else if let Some(folder) = folder {
        let folder = folder.display();
        let mut text = said;
        text += &format!(
            "Visit {number} on {regulator}, {state}: {folder}/record.html, record.pdf and record.json\n"
        );
        if !lacking.is_empty() {
            text += &format!("The PDF shows a question mark for each of: {lacking}\n");
        }
        print(&text)?;
    }
    Ok(if is_doubtful { Outcome::VerdictAgainst } else { Outcome::Done })
}

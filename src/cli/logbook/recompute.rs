use clap::Args;

use crate::cli::console::{folded, print};
use crate::cli::logbook_args::LogbookArgs;
use crate::cli::outcome::Outcome;
use crate::error::Result;
use crate::report::{Document, RecomputationDocument, to_json};

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  loopcrest logbook recompute\n\n\
                  Exit code 1 when something comes out otherwise than it stands.")]
pub(super) struct RecomputeArgs {
    /// Only this visit
    #[arg(value_name = "VISIT")]
    visit: Option<u64>,
    #[command(flatten)]
    logbook: LogbookArgs,
}

/// Every judgement once more.
pub(super) fn run(args: &RecomputeArgs, json: bool) -> Result<Outcome> {
    let logbook = args.logbook.read()?;
    let found = logbook.recompute(args.visit)?;
    let document = RecomputationDocument::new(&logbook, &found);
    let holds = document.holds;
    let text = text(&document);
    if json {
        print(&to_json(&Document::LogbookRecomputation(Box::new(document))))?;
    } else {
        print(&text)?;
    }
    Ok(if holds { Outcome::Done } else { Outcome::VerdictAgainst })
}

fn text(document: &RecomputationDocument) -> String {
    let count = |n: u64| format!("{n} reading{}", if n == 1 { "" } else { "s" });
    let mut text = folded(&format!("{} judged again: the same", count(document.same)), "");
    if document.unjudged > 0 {
        text += &folded(&format!("{} never judged", count(document.unjudged)), "");
    }
    for differing in &document.differing {
        let value = |value: &Option<String>| value.clone().unwrap_or_else(|| "nothing".to_owned());
        text += &folded(
            &format!(
                "visit {}, entry {} ({}): {} stands as {}, comes out as {}",
                differing.visit,
                differing.entry,
                differing.program,
                differing.field,
                value(&differing.stored),
                value(&differing.now)
            ),
            "  ",
        );
    }
    for failed in &document.failed {
        text += &folded(&format!("visit {}: {}", failed.visit, failed.reason), "  ");
    }
    text
}

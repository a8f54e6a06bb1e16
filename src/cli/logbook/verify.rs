use clap::Args;

use crate::cli::console::{folded, print};
use crate::cli::logbook_args::LogbookArgs;
use crate::cli::outcome::Outcome;
use crate::error::Result;
use crate::report::{Document, VerificationDocument, to_json};

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  loopcrest logbook verify\n\n\
                  With the hash of an earlier last entry, as a record shows it, verify also notices \
                  that entries were cut off since: --head HASH. Exit code 1 when something does not \
                  fit.")]
pub(super) struct VerifyArgs {
    /// Hash of an earlier last entry, or its first 12 digits: it must still be there
    #[arg(long, value_name = "HASH")]
    head: Option<String>,
    #[command(flatten)]
    logbook: LogbookArgs,
}

/// Every entry, its hash and its place.
pub(super) fn run(args: &VerifyArgs, json: bool) -> Result<Outcome> {
    let logbook = args.logbook.read()?;
    let found = logbook.verify(args.head.as_deref())?;
    let document = VerificationDocument::new(&logbook, &found);
    let holds = document.holds;
    let text = text(&document);
    if json {
        print(&to_json(&Document::LogbookVerification(Box::new(document))))?;
    } else {
        print(&text)?;
    }
    Ok(if holds { Outcome::Done } else { Outcome::VerdictAgainst })
}

fn text(document: &VerificationDocument) -> String {
    let count = document.entries;
    let entries = if count == 1 { "1 entry".to_owned() } else { format!("{count} entries") };
    let mut text = if document.holds {
        folded(&format!("{}: {entries}, all as they were written", document.logbook), "")
    } else {
        folded(&format!("{}: NOT as it was written", document.logbook), "")
            + &folded(&format!("{entries} from the first on fit"), "  ")
    };
    for misfit in &document.misfits {
        text += &folded(&misfit.text, "  ");
    }
    if let Some(since) = document.since_head {
        text += &folded(&format!("the hash given is there, {since} entries before the last"), "  ");
    }
    if let Some(head) = &document.head {
        text += &format!("last entry {}, hash\n  {}\n", head.number, head.hash);
    }
    if !document.holds {
        text += &folded(
            "Keep the file as it is and a copy of it; the last backup or export shows what stood \
             there before.",
            "",
        );
    }
    text
}

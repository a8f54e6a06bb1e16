use clap::Args;

use crate::cli::logbook_args::{LogbookArgs, WriterArgs};
use crate::cli::outcome::Outcome;
use crate::error::{Error, Result};
use crate::procedure::{Entry, Journal};
use crate::report::EntryDocument;

use super::add::written;

#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  loopcrest logbook correct 1 place=\"vault 4\" --by \"A. Person\"\n\n\
                  Fields are those that `loopcrest logbook show ENTRY` prints; a field inside \
                  another is written as conditions.tap=2, an empty value leaves the field out. A \
                  reading is put right by shown_a=6.58 and judged again."
)]
pub(super) struct CorrectArgs {
    /// Number of the entry
    entry: u64,
    /// What it should say, as FIELD=VALUE
    #[arg(required = true, value_name = "FIELD=VALUE", value_parser = change)]
    changes: Vec<(String, String)>,
    #[command(flatten)]
    logbook: LogbookArgs,
    #[command(flatten)]
    writer: WriterArgs,
}

#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  loopcrest logbook withdraw 2 \"entered twice\" --by \"A. Person\""
)]
pub(super) struct WithdrawArgs {
    /// Number of the entry
    entry: u64,
    /// Why
    reason: String,
    #[command(flatten)]
    logbook: LogbookArgs,
    #[command(flatten)]
    writer: WriterArgs,
}

fn change(text: &str) -> std::result::Result<(String, String), String> {
    let (field, value) = text.split_once('=').ok_or("expected FIELD=VALUE")?;
    Ok((field.trim().to_owned(), value.trim().to_owned()))
}

/// A new entry in the place of an old one.
pub(super) fn run(args: &CorrectArgs, json: bool) -> Result<Outcome> {
    let mut logbook = args.logbook.write(&args.writer)?;
    let old = logbook.entry(args.entry)?;
    let entry = logbook.corrected(args.entry, &args.changes)?;
    let logged = logbook.append(old.visit, Some(args.entry), entry)?;
    written(EntryDocument::written(&logbook, false, &logged), json)
}

/// An entry that counts no more.
pub(super) fn withdraw(args: &WithdrawArgs, json: bool) -> Result<Outcome> {
    let mut logbook = args.logbook.write(&args.writer)?;
    let old = logbook.entry(args.entry)?;
    let reason = args.reason.trim();
    if reason.is_empty() {
        return Err(Error::malformed("why it is taken back", "an empty text"));
    }
    let entry = Entry::Withdrawal { reason: reason.to_owned() };
    let logged = logbook.append(old.visit, Some(args.entry), entry)?;
    written(EntryDocument::written(&logbook, false, &logged), json)
}

//! The logbook: what is in it, more into it, all of it out.

mod add;
mod correct;
mod doubt;
mod due;
mod history;
mod equipment;
mod recompute;
mod record;
mod show;
mod transfer;
mod verify;
mod visits;

use clap::{Args, Subcommand};

use crate::error::Result;

use super::outcome::Outcome;

#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  loopcrest logbook equipment\n  loopcrest logbook visits --json\n\n\
                  Nothing in a logbook is ever changed: a correction is an entry of its own that \
                  names the one it replaces. While programs have it open, two more files stand \
                  beside it (-wal, -shm); copy it with `logbook backup`, and keep it on a disk of \
                  this machine."
)]
pub(super) struct LogbookCommandArgs {
    #[command(subcommand)]
    action: Action,
}

#[derive(Debug, Subcommand)]
enum Action {
    /// Enter a regulator, a circuit, a meter, a certificate or a remark
    Add(add::AddArgs),
    /// List regulators, circuits, meters and their certificates
    Equipment(equipment::EquipmentArgs),
    /// List visits
    Visits(visits::VisitsArgs),
    /// Show a visit with all its entries, or one entry with all it says
    Show(show::ShowArgs),
    /// Put an entry right: a new one takes its place
    Correct(correct::CorrectArgs),
    /// Take an entry back that was made by mistake
    Withdraw(correct::WithdrawArgs),
    /// Show how the steps of a regulator drift over the years, and when it is due
    History(history::HistoryArgs),
    /// List when every regulator is due
    Due(due::DueArgs),
    /// Enter that a meter was found wrong, and show which records that touches
    Doubt(doubt::DoubtArgs),
    /// Look through all of it: is everything as it was written?
    Verify(verify::VerifyArgs),
    /// Judge every reading again from what its visit was opened with, and compare
    Recompute(recompute::RecomputeArgs),
    /// Write a visit's record: HTML and PDF to print and sign, and its numbers
    Record(record::RecordArgs),
    /// Write all of it into a .jsonl or .csv file, or its readings into a table
    Export(transfer::ExportArgs),
    /// Make a new logbook from an export: the same entries, the same hashes
    Import(transfer::ImportArgs),
    /// Copy it into a new file, also while others write
    Backup(transfer::BackupArgs),
}

/// One action on a logbook.
pub(super) fn run(args: &LogbookCommandArgs, json: bool) -> Result<Outcome> {
    match &args.action {
        Action::Add(args) => add::run(args, json),
        Action::Equipment(args) => equipment::run(args, json),
        Action::Visits(args) => visits::run(args, json),
        Action::Show(args) => show::run(args, json),
        Action::Correct(args) => correct::run(args, json),
        Action::Withdraw(args) => correct::withdraw(args, json),
        Action::History(args) => history::run(args, json),
        Action::Due(args) => due::run(args, json),
        Action::Doubt(args) => doubt::run(args, json),
        Action::Verify(args) => verify::run(args, json),
        Action::Recompute(args) => recompute::run(args, json),
        Action::Record(args) => record::run(args, json),
        Action::Export(args) => transfer::export(args, json),
        Action::Import(args) => transfer::import(args, json),
        Action::Backup(args) => transfer::backup(args, json),
    }
}

use std::fmt::Write;

use clap::Args;
use jiff::civil::Date;

use crate::cli::console::{folded, print};
use crate::cli::instruments::day;
use crate::cli::logbook_args::{LogbookArgs, WriterArgs};
use crate::cli::outcome::Outcome;
use crate::cli::quantities::ratio;
use crate::cli::table;
use crate::error::{Error, Result};
use crate::procedure::entry::MeterDoubt;
use crate::procedure::{Entry, Journal};
use crate::report::{AffectedPart, Document, DoubtDocument, bare_amperes, percent, to_json};

#[derive(Debug, Args)]
#[command(after_help = "Example:\n  loopcrest logbook doubt --meter M-1 --from 2025-03-02 \
                        --until 2026-11-20 \\\n      --error 2.1% --reason \"read 2.1 % high at its calibration\" --by \"A. Person\"\n\n\
                        With --try nothing is written down. Exit code 1 when a reading was taken to lie \
                        in its band and did not.")]
pub(super) struct DoubtArgs {
    /// The meter, by its name
    #[arg(long, value_name = "NAME")]
    meter: String,
    /// First day in question, such as that of its last good certificate
    #[arg(long, value_name = "DAY", value_parser = day)]
    from: Date,
    /// Last day in question
    #[arg(long, value_name = "DAY", value_parser = day)]
    until: Date,
    /// What it showed too much, such as 2.1%; negative when it showed too little
    #[arg(long, value_name = "RATIO", value_parser = ratio, allow_hyphen_values = true)]
    error: f64,
    /// How that was found
    #[arg(long, value_name = "TEXT")]
    reason: String,
    /// Only show what it would touch
    #[arg(long = "try")]
    tried: bool,
    #[command(flatten)]
    writer: WriterArgs,
    #[command(flatten)]
    logbook: LogbookArgs,
}

/// A meter was found wrong: which records that touches, and by how much.
pub(super) fn run(args: &DoubtArgs, json: bool) -> Result<Outcome> {
    if args.until < args.from {
        return Err(Error::inconsistent(format!(
            "--until {} comes before --from {}",
            args.until, args.from
        )));
    }
    let doubt = MeterDoubt {
        meter: args.meter.clone(),
        from: args.from,
        until: args.until,
        error_ratio: args.error,
        reason: args.reason.clone(),
    };
    let mut logbook =
        if args.tried { args.logbook.read()? } else { args.logbook.write(&args.writer)? };
    let affected = logbook.affected_by(&doubt)?;
    let is_known = logbook.meter(&doubt.meter)?.is_some();
    if !is_known && affected.is_empty() {
        return Err(Error::inconsistent(format!(
            "{} knows no meter {} and has no reading of it",
            logbook.path().display(),
            doubt.meter
        ))
        .with_hint("`loopcrest logbook equipment` lists the meters"));
    }
    let entry = if args.tried {
        None
    } else {
        Some(logbook.append(None, None, Entry::MeterDoubt(doubt.clone()))?.number)
    };
    let document = DoubtDocument::new(&doubt, &affected, entry);
    let (text, wrong) = (text(&document), document.wrongly_accepted);
    if json {
        print(&to_json(&Document::Doubt(Box::new(document))))?;
    } else {
        print(&text)?;
    }
    Ok(if wrong > 0 { Outcome::VerdictAgainst } else { Outcome::Done })
}

fn text(document: &DoubtDocument) -> String {
    let mut text = folded(
        &format!(
            "{} showed {} from {} to {}: {}",
            document.meter,
            percent(document.error_ratio),
            document.from,
            document.until,
            document.reason
        ),
        "",
    );
    text.push('\n');
    if document.readings.is_empty() {
        text += "  no reading of those days was taken with it\n";
    } else {
        let header =
            ["entry", "day", "regulator", "step", "when", "output", "taken A", "was A", "band", ""];
        let rows: Vec<Vec<String>> = document.readings.iter().map(row).collect();
        for line in table::lines(&header, &rows, &[0, 3, 6, 7], 2) {
            let _ = writeln!(text, " {line}");
        }
        let _ = writeln!(
            text,
            "\n{} of {} readings were taken to lie in their band and did not.",
            document.wrongly_accepted,
            document.readings.len()
        );
    }
    match document.entry {
        Some(number) => writeln!(text, "Written down as entry {number}."),
        None => writeln!(text, "Nothing was written down."),
    }
    .expect("a text takes everything");
    text
}

fn row(part: &AffectedPart) -> Vec<String> {
    vec![
        part.entry.to_string(),
        part.day.clone(),
        part.regulator.clone(),
        part.step.to_string(),
        part.moment.to_owned(),
        part.output.to_owned(),
        bare_amperes(part.taken_for_a),
        bare_amperes(part.was_a),
        match (part.low_a, part.high_a) {
            (Some(low_a), Some(high_a)) => {
                format!("{} to {}", bare_amperes(low_a), bare_amperes(high_a))
            }
            _ => "not judged".into(),
        },
        if part.wrongly_accepted == Some(true) { "OUTSIDE".into() } else { String::new() },
    ]
}

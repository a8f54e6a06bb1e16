use std::path::{Path, PathBuf};

use clap::Args;
use jiff::civil::Date;

use crate::assess::instrument::{Instrument, Verdict};
use crate::description::Description;
use crate::error::{Error, Result};
use crate::logbook::{Clock, Logbook};
use crate::meter::Meter;
use crate::procedure::Procedure;
use crate::report::worksheet::{Worksheet, worksheet_writing};
use crate::report::{Document, WorksheetDocument, to_json};

use super::console::print;
use super::instruments::{TermsArgs, one_meter};
use super::known_meter::known_meter;
use super::outcome::Outcome;
use super::paper_arg::PaperArg;
use super::{regulated, starter};

#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  loopcrest worksheet --meter precision-true-rms-clamp --out worksheet.pdf\n  \
                        loopcrest worksheet r-01.toml r-02.toml --meter precision-true-rms-clamp \\\n      \
                        --today 2026-11-25 --out round.pdf\n  \
                        loopcrest worksheet --meter precision-true-rms-clamp --out worksheet.html\n  \
                        loopcrest worksheet --logbook book.sqlite --regulator R-07 --meter M-1 --out r-07.pdf\n\n\
                        Each description is one regulator and begins on a sheet of its own.\n\n\
                  Qualified persons only: a series circuit carries thousands of volts. Switch off, lock \
                  out and prove dead before fitting leads or a clamp; never open an energised \
                  circuit. The maker's manual and local codes come first."
)]
pub(super) struct WorksheetArgs {
    /// Description files, one for each regulator; the invented example when left out
    descriptions: Vec<PathBuf>,
    /// Regulator of the logbook, by its name (may be given several times)
    #[arg(long, value_name = "NAME", requires = "logbook")]
    regulator: Vec<String>,
    /// The logbook that knows regulators and meters, with their certificates
    #[arg(long, value_name = "FILE")]
    logbook: Option<PathBuf>,
    /// Meter of the logbook, of the description, or an archetype; when left out the only one of the
    /// logbook, or the first of the description, one with a data sheet before the others
    #[arg(long, value_name = "METER")]
    meter: Option<String>,
    /// Procedure to follow (see `loopcrest starter --procedure`)
    #[arg(long, value_name = "FILE")]
    procedure: Option<PathBuf>,
    /// File to write; its name ends in .pdf or .html
    #[arg(long, value_name = "FILE")]
    out: PathBuf,
    /// Write over that file if it exists
    #[arg(long)]
    replace: bool,
    /// Size of paper
    #[arg(long, value_enum, default_value_t)]
    paper: PaperArg,
    #[command(flatten)]
    terms: TermsArgs,
}

/// The descriptions asked for, with their files: those of the logbook's regulators have none of their
/// own, but are no invented example.
fn descriptions<'a>(
    args: &'a WorksheetArgs,
    logbook: Option<&Logbook>,
) -> Result<Vec<(Description, Option<&'a Path>)>> {
    let mut all = Vec::new();
    for file in &args.descriptions {
        all.push((regulated::description(Some(file))?, Some(file.as_path())));
    }
    for name in &args.regulator {
        let filed = logbook.map_or(Ok(None), |logbook| logbook.regulator(name))?;
        let filed = filed.ok_or_else(|| {
            Error::inconsistent(format!("the logbook knows no regulator {name}"))
                .with_hint("`loopcrest logbook equipment` lists those it knows")
        })?;
        let description = Description::parse(&filed.card.description, Path::new(""))
            .map_err(|error| error.with_context(format!("the description of {name}")))?;
        all.push((description, Some(Path::new(""))));
    }
    if all.is_empty() {
        all.push((regulated::description(None)?, None));
    }
    Ok(all)
}

/// The day it is for.
fn day(args: &WorksheetArgs) -> Result<Date> {
    match args.terms.today {
        Some(day) => Ok(day),
        None => Ok(Clock::from_environment()?.today()),
    }
}

/// The meter as the logbook knows it on the day, else one of the description or an archetype.
fn meter(
    args: &WorksheetArgs,
    logbook: Option<&Logbook>,
    description: &Description,
    file: Option<&Path>,
) -> Result<Meter> {
    let name = args.meter.as_deref();
    if let Some(logbook) = logbook
        && let Some(meter) = known_meter(logbook, name, day(args)?, description.frequency_hz)?
    {
        return Ok(meter);
    }
    one_meter(description, file, name)
}

/// What is written.
enum Kind {
    Html,
    Pdf,
}

/// The worksheets of one or several regulators.
pub(super) fn run(args: &WorksheetArgs, json: bool) -> Result<Outcome> {
    let ending = args.out.extension().and_then(|ending| ending.to_str());
    let kind = match ending.map(str::to_ascii_lowercase).as_deref() {
        Some("pdf") => Kind::Pdf,
        Some("html" | "htm") => Kind::Html,
        _ => {
            return Err(Error::malformed(
                "a file that ends in .pdf or .html after --out",
                format!("\"{}\"", args.out.display()),
            ));
        }
    };
    let mut terms = args.terms.terms()?;
    if args.logbook.is_some() {
        // As in a visit of the day: its record then says the same.
        terms.today = Some(day(args)?);
    }
    let procedure =
        args.procedure.as_deref().map_or_else(|| Ok(Procedure::embedded()), Procedure::read)?;
    let logbook = args.logbook.as_deref().map(Logbook::open_read_only).transpose()?;
    let mut known = Vec::new();
    for (description, file) in descriptions(args, logbook.as_ref())? {
        let meter = meter(args, logbook.as_ref(), &description, file)?;
        let instrument =
            Instrument::of_meter(&meter, description.frequency_hz, terms.ambient_degc)?;
        let currents = args.terms.currents(&description)?.value;
        let verdicts = currents
            .iter()
            .map(|place| Verdict::new(&instrument, place, &terms))
            .collect::<Result<Vec<_>>>()?;
        known.push((description, meter, currents, verdicts));
    }
    let worksheets: Vec<Worksheet<'_>> = known
        .iter()
        .map(|(description, meter, currents, verdicts)| Worksheet {
            description,
            currents,
            meter,
            verdicts,
            terms: &terms,
            procedure: &procedure,
        })
        .collect();
    let writing = worksheet_writing(&worksheets);
    let size = args.paper.size();
    let bytes = match kind {
        Kind::Html => writing.html(size).into_bytes(),
        Kind::Pdf => writing.pdf(size)?,
    };
    starter::write_whole(&args.out, &bytes, args.replace)?;
    let sheets = writing.sheets(size);
    if json {
        let sides: Vec<usize> =
            sheets.iter().filter(|sheet| sheet.number == 1).map(|sheet| sheet.of).collect();
        let document = WorksheetDocument::new(&worksheets, &sides);
        print(&to_json(&Document::Worksheet(Box::new(document))))?;
        return Ok(Outcome::Done);
    }
    let mut text = format!("Wrote {}: {} regulator(s)\n", args.out.display(), worksheets.len());
    for sheet in sheets.iter().filter(|sheet| sheet.number == 2) {
        text += &format!(
            "Not all fits on one side of this paper: a regulator takes {} sides\n",
            sheet.of
        );
    }
    let lacking = writing.lacking();
    if matches!(kind, Kind::Pdf) && !lacking.is_empty() {
        text += &format!("The PDF shows a question mark for each of: {lacking}\n");
    }
    print(&text)?;
    Ok(Outcome::Done)
}

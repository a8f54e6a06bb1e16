use std::path::PathBuf;

use clap::Args;

use crate::assess::instrument::{Instrument, Verdict};
use crate::description::Description;
use crate::error::{Error, Result};
use crate::procedure::Procedure;
use crate::report::worksheet::{Worksheet, worksheet_writing};
use crate::report::{Document, WorksheetDocument, to_json};

use super::console::print;
use super::instruments::{TermsArgs, one_meter};
use super::outcome::Outcome;
use super::paper_arg::PaperArg;
use super::{regulated, starter};

#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  loopcrest worksheet --meter precision-true-rms-clamp --out worksheet.pdf\n  \
                        loopcrest worksheet r-01.toml r-02.toml --meter precision-true-rms-clamp \\\n      \
                        --today 2026-11-25 --out round.pdf\n  \
                        loopcrest worksheet --meter precision-true-rms-clamp --out worksheet.html\n\n\
                        Each description is one regulator and begins on a sheet of its own."
)]
pub(super) struct WorksheetArgs {
    /// Description files, one for each regulator; the invented example when left out
    descriptions: Vec<PathBuf>,
    /// Meter of the description, or an archetype; the first with a data sheet when left out
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
    let terms = args.terms.terms()?;
    let procedure =
        args.procedure.as_deref().map_or_else(|| Ok(Procedure::embedded()), Procedure::read)?;
    let mut files: Vec<Option<&std::path::Path>> =
        args.descriptions.iter().map(|file| Some(file.as_path())).collect();
    if files.is_empty() {
        files.push(None);
    }
    let mut known = Vec::with_capacity(files.len());
    for file in files {
        let description: Description = regulated::description(file)?;
        let meter = one_meter(&description, file, args.meter.as_deref())?;
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

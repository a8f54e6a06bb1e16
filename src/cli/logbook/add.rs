use std::path::PathBuf;

use clap::{Args, Subcommand};
use jiff::civil::Date;

use crate::cli::console::{folded, print, refuse_standard_input};
use crate::cli::instruments::{day, one_meter};
use crate::cli::logbook_args::{LogbookArgs, WriterArgs};
use crate::cli::outcome::Outcome;
use crate::cli::quantities::ratio;
use crate::description::{Description, misspelt, sheet_text};
use crate::error::{Error, Result};
use crate::logbook::Logbook;
use crate::meter::Certificate;
use crate::procedure::entry::{CertificateCard, CircuitCard, MeterCard, RegulatorCard};
use crate::procedure::{Entry, Journal};
use crate::report::{Document, EntryDocument, to_json};

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  \
                  loopcrest logbook add regulator R-07 bench.toml --place \"vault 3\" --by \"A. Person\"\n  \
                  loopcrest logbook add circuit C-3 --regulator R-07 --lights \"runway edge\" --by \"A. Person\"\n  \
                  loopcrest logbook add meter M-1 --sheet general-true-rms-clamp --by \"A. Person\"\n  \
                  loopcrest logbook add certificate M-1 2026-114 --date 2026-02-03 --uncertainty 0.4% \\\n      --by \"A. Person\"\n  \
                  loopcrest logbook add remark \"new lamps on order\" --by \"A. Person\"\n\n\
                  A name that is known already is known better from then on. The first entry begins \
                  the logbook.")]
pub(super) struct AddArgs {
    #[command(subcommand)]
    what: What,
    #[command(flatten)]
    logbook: LogbookArgs,
    #[command(flatten)]
    writer: WriterArgs,
}

#[derive(Debug, Subcommand)]
enum What {
    /// A regulator with its description
    Regulator {
        /// Its name at the place, such as R-07
        name: String,
        /// Description file of supply, steps, bands, regulator and field
        description: PathBuf,
        /// Where it stands
        #[arg(long, value_name = "TEXT")]
        place: String,
        /// Serial number on its plate
        #[arg(long)]
        serial: Option<String>,
        /// Anything else
        #[arg(long, value_name = "TEXT")]
        remark: Option<String>,
    },
    /// A circuit that a regulator feeds
    Circuit {
        /// Its name at the place
        name: String,
        /// The regulator that feeds it, by its name in the logbook
        #[arg(long, value_name = "NAME")]
        regulator: String,
        /// What it lights
        #[arg(long, value_name = "TEXT")]
        lights: String,
        /// Anything else
        #[arg(long, value_name = "TEXT")]
        remark: Option<String>,
    },
    /// A meter with its data sheet
    Meter {
        /// Its name at the place
        name: String,
        /// Its sheet: a meter of the description, or an archetype (see `loopcrest meters`)
        #[arg(long, value_name = "METER")]
        sheet: String,
        /// Description file that holds the meter
        #[arg(long, value_name = "FILE")]
        from: Option<PathBuf>,
        /// Serial number
        #[arg(long)]
        serial: Option<String>,
        /// Anything else
        #[arg(long, value_name = "TEXT")]
        remark: Option<String>,
    },
    /// A certificate of a meter
    Certificate {
        /// The meter, by its name in the logbook
        meter: String,
        /// Number of the certificate
        number: String,
        /// Day of the calibration
        #[arg(long, value_name = "DAY", value_parser = day)]
        date: Date,
        /// Last day on which it counts
        #[arg(long, value_name = "DAY", value_parser = day)]
        due: Option<Date>,
        /// Expanded uncertainty, as a share of the reading
        #[arg(long, value_name = "SHARE", value_parser = ratio)]
        uncertainty: f64,
        /// Its coverage factor
        #[arg(long, value_name = "K", default_value_t = 2.0)]
        coverage_factor: f64,
    },
    /// Something worth writing down
    Remark {
        /// What is said
        text: String,
        /// The visit it belongs to; the logbook as a whole when left out
        #[arg(long, value_name = "NUMBER")]
        visit: Option<u64>,
    },
}

/// One entry more.
pub(super) fn run(args: &AddArgs, json: bool) -> Result<Outcome> {
    if args.writer.by.is_none() {
        return Err(Error::malformed("--by NAME: who writes this", "none"));
    }
    // What can be wrong with the entry alone is found before a logbook is begun for it.
    let begins = !args.logbook.file().exists();
    let entry = entry(&args.what, || args.logbook.read(), begins)?;
    let visit = match &args.what {
        What::Remark { visit, .. } => *visit,
        _ => None,
    };
    let (mut logbook, is_new) = args.logbook.write_or_begin(&args.writer)?;
    let logged = logbook.append(visit, None, entry)?;
    written(EntryDocument::written(&logbook, is_new, &logged), json)
}

/// Says what was written.
pub(super) fn written(document: EntryDocument, json: bool) -> Result<Outcome> {
    let entry = &document.entry;
    let began = if document.is_new_logbook { " (begun now)" } else { "" };
    let instead = entry.replaces.map_or(String::new(), |old| format!(", in place of entry {old}"));
    let text = folded(&format!("entry {}: {}{instead}", entry.number, entry.says), "")
        + &folded(&format!("written into {}{began} by {}", document.logbook, entry.by), "  ");
    if json {
        print(&to_json(&Document::LogbookEntry(Box::new(document))))?;
    } else {
        print(&text)?;
    }
    Ok(Outcome::Done)
}

fn entry(what: &What, known: impl Fn() -> Result<Logbook>, begins: bool) -> Result<Entry> {
    Ok(match what {
        What::Regulator { name, description, place, serial, remark } => {
            refuse_standard_input(description)?;
            Entry::Regulator(RegulatorCard {
                name: named(name, "regulator")?,
                place: place.clone(),
                serial: serial.clone(),
                description: Description::read(description)?.runnable_text,
                remark: remark.clone(),
            })
        }
        What::Circuit { name, regulator, lights, remark } => {
            let regulators = if begins { vec![] } else { known()?.regulators()? };
            let names: Vec<&str> =
                regulators.iter().map(|filed| filed.card.name.as_str()).collect();
            is_known("regulator", regulator, &names)?;
            Entry::Circuit(CircuitCard {
                name: named(name, "circuit")?,
                regulator: regulator.clone(),
                lights: lights.clone(),
                remark: remark.clone(),
            })
        }
        What::Meter { name, sheet, from, serial, remark } => {
            let description = match from {
                Some(file) => Description::read(file)?,
                None => Description::embedded(),
            };
            let meter = one_meter(&description, from.as_deref(), Some(sheet))?;
            let sheet = meter.sheet.as_ref().ok_or_else(|| {
                Error::inconsistent(format!("\"{}\" has no data sheet", meter.name))
                    .with_hint("`loopcrest meters` shows how a sheet is written")
            })?;
            let name = named(name, "meter")?;
            Entry::Meter(MeterCard {
                sheet: sheet_text(&name, sheet),
                name,
                serial: serial.clone(),
                remark: remark.clone(),
            })
        }
        What::Certificate { meter, number, date, due, uncertainty, coverage_factor } => {
            let meters = if begins { vec![] } else { known()?.meters()? };
            let names: Vec<&str> = meters.iter().map(|filed| filed.card.name.as_str()).collect();
            is_known("meter", meter, &names)?;
            Entry::Certificate(CertificateCard {
                meter: meter.clone(),
                number: named(number, "certificate")?,
                date: *date,
                due: in_order(*date, *due)?,
                expanded_ratio: Certificate::EXPANDED_RATIO.check(*uncertainty)?,
                coverage_factor: Certificate::COVERAGE_FACTOR.check(*coverage_factor)?,
            })
        }
        What::Remark { text, .. } => Entry::Remark { text: named(text, "remark")? },
    })
}

fn in_order(date: Date, due: Option<Date>) -> Result<Option<Date>> {
    match due {
        Some(due) if due < date => Err(Error::inconsistent(format!(
            "the certificate counts until {due}, before its own day {date}"
        ))),
        _ => Ok(due),
    }
}

fn named(name: &str, what: &str) -> Result<String> {
    match name.trim() {
        "" => Err(Error::malformed(format!("the name of a {what}"), "an empty text")),
        name => Ok(name.to_owned()),
    }
}

fn is_known(what: &str, name: &str, known: &[&str]) -> Result<()> {
    if known.contains(&name) {
        return Ok(());
    }
    if known.is_empty() {
        return Err(Error::inconsistent(format!("the logbook knows no {what} yet"))
            .with_hint(format!("enter it first: `loopcrest logbook add {what}`")));
    }
    Err(misspelt(format!("one of the {what}s {}", known.join(", ")), name, known.iter().copied()))
}

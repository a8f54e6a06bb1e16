use std::fmt::Write;
use std::path::PathBuf;

use clap::Args;

use crate::assess::instrument::{CircuitCurrents, Comparison, ComparisonCell, Suitability, Terms};
use crate::description::Description;
use crate::error::{Error, Note, Result};
use crate::meter::Meter;
use crate::report::{ComparisonDocument, Document, plain_percent, to_json};

use super::console::{cautions, folded};
use super::instruments::{FolderArgs, TermsArgs, archetypes, ready};
use super::outcome::Outcome;
use super::{figures, reading, regulated, table};

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  loopcrest compare\n  \
                        loopcrest compare bench.toml --archetypes --out table")]
pub(super) struct CompareArgs {
    /// Description files, a circuit each; the invented example when left out
    pub(super) descriptions: Vec<PathBuf>,
    /// Meter of a description, or an archetype (may be given several times); every meter of every
    /// description when left out
    #[arg(long, value_name = "METER")]
    pub(super) meter: Vec<String>,
    /// Judge every archetype too
    #[arg(long)]
    pub(super) archetypes: bool,
    #[command(flatten)]
    pub(super) terms: TermsArgs,
    #[command(flatten)]
    pub(super) folder: FolderArgs,
}

const DANGER: &str = "!: DANGER, the voltage the meter is made for is below that of the loop, whatever it reads: \
                      it may not be fitted there";

/// Many meters, many steps, many circuits in one table.
pub(super) fn run(args: &CompareArgs, json: bool) -> Result<Outcome> {
    let descriptions: Vec<Description> = if args.descriptions.is_empty() {
        vec![Description::embedded()]
    } else {
        args.descriptions.iter().map(|file| Description::read(file)).collect::<Result<_>>()?
    };
    let terms = args.terms.terms()?;
    let (comparison, notes) = compare(args, &descriptions, &terms)?;
    let document = ComparisonDocument::new(&comparison, &terms, &notes);
    let text = text(&comparison, &document);
    let json_text = to_json(&Document::Comparison(Box::new(document)));
    let folder = regulated::write(args.folder.out.as_ref(), args.folder.replace, || {
        let mut files = figures::comparison(&comparison)?;
        files.push(("comparison.json".into(), json_text.clone().into_bytes()));
        Ok(files)
    })?;
    regulated::show(json, &json_text, &text, folder.as_deref())?;
    Ok(Outcome::Done)
}

fn compare(
    args: &CompareArgs,
    descriptions: &[Description],
    terms: &Terms,
) -> Result<(Comparison, Vec<Note>)> {
    let first = &descriptions[0];
    let other = descriptions
        .iter()
        .find(|description| description.frequency_hz.total_cmp(&first.frequency_hz).is_ne());
    if let Some(other) = other {
        return Err(Error::inconsistent(format!(
            "\"{}\" has mains of {} Hz, \"{}\" of {} Hz: compare them one by one",
            first.title, first.frequency_hz, other.title, other.frequency_hz
        )));
    }
    let instruments = ready(&meters(args, descriptions)?, first.frequency_hz, terms)?;
    let mut circuits = Vec::with_capacity(descriptions.len());
    let mut notes: Vec<Note> = Vec::new();
    for description in descriptions {
        let currents = args.terms.currents(description)?;
        circuits.push(CircuitCurrents { name: description.title.clone(), steps: currents.value });
        for note in currents.notes {
            if !notes.contains(&note) {
                notes.push(note);
            }
        }
    }
    Ok((Comparison::new(&instruments, &circuits, terms)?, notes))
}

fn meters(args: &CompareArgs, descriptions: &[Description]) -> Result<Vec<Meter>> {
    let mut meters: Vec<Meter> = Vec::new();
    if args.meter.is_empty() && !args.descriptions.is_empty() {
        for meter in descriptions.iter().flat_map(|description| &description.meters) {
            if meters.iter().all(|known| known.name != meter.name) {
                meters.push(meter.clone());
            }
        }
    }
    for name in &args.meter {
        let own = descriptions.iter().find(|d| d.meters.iter().any(|meter| meter.name == *name));
        meters.push(reading::meter(own.unwrap_or(&descriptions[0]), Some(name))?);
    }
    if args.archetypes || meters.is_empty() {
        meters.extend(archetypes());
    }
    Ok(meters)
}

fn text(comparison: &Comparison, document: &ComparisonDocument) -> String {
    let mut text = format!(
        "{} meters, {} circuits; true current in its band with {}\n",
        document.meters.len(),
        document.circuits.len(),
        plain_percent(document.terms.conformance_probability)
    );
    for (circuit, title) in document.circuits.iter().enumerate() {
        let _ = writeln!(text, "\n{title}");
        let places = comparison.places(circuit);
        let mut header = vec!["meter".to_owned()];
        header.extend(places.iter().map(|(step, connection)| {
            let short = connection.key().chars().next().unwrap_or(' ');
            format!("{step}{short}")
        }));
        let rows: Vec<Vec<String>> = document
            .meters
            .iter()
            .enumerate()
            .map(|(meter, part)| {
                let mut row = vec![part.name.clone()];
                row.extend(places.iter().map(|place| {
                    let cell = comparison.cell(meter, circuit, *place);
                    cell.map_or_else(String::new, mark)
                }));
                row
            })
            .collect();
        let header: Vec<&str> = header.iter().map(String::as_str).collect();
        for line in table::lines(&header, &rows, &[], 0) {
            let _ = writeln!(text, " {line}");
        }
    }
    text.push('\n');
    let legend = "5s: step 5, output shorted; 5l: field connected; care: fit with care; no: not fit; \
                  `loopcrest fitness` says why";
    text += &folded(legend, "  ");
    if comparison.cells().iter().any(|cell| cell.is_dangerous) {
        text += &folded(DANGER, "  ");
    }
    for note in &document.notes {
        text += &folded(&note.text, "  ");
    }
    text + &cautions()
}

/// The verdict in a word, marked where the meter may not be brought to the loop.
fn mark(cell: &ComparisonCell) -> String {
    let verdict = match cell.suitability {
        Suitability::Fit => "fit",
        Suitability::WithCare => "care",
        Suitability::NotFit => "no",
    };
    if cell.is_dangerous { format!("{verdict} !") } else { verdict.to_owned() }
}

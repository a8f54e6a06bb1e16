use std::fmt::Write;
use std::path::PathBuf;

use clap::Args;

use crate::description::{Description, Parameter, Tolerance};
use crate::error::{Error, Result};
use crate::report::{Document, SweepDocument, plain_number, to_json};
use crate::study::{Axis, Columns, Design, Part, Sweep, TableFormat, VariedCircuit};

use super::console::{folded, print};
use super::outcome::Outcome;
use super::progress::Bar;
use super::quantities::ratio;
use super::{regulated, table, varied};

/// Many circuits as one table: a grid over parameters, or a random sample of the tolerances.
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  \
            loopcrest sweep --over supply.voltage=90%..110%/5 --out voltage.csv\n  \
            loopcrest sweep bench.toml --over field.open-share=0%..40%/9 --out lamps.parquet\n  \
            loopcrest sweep bench.toml --sample 1000 --part 3/16 --out part3.jsonl\n  \
            loopcrest sweep --list\n\n\
            A sweep that was interrupted goes on where it stopped when it is run again. Parts one \
            behind the other are the whole table: only the first part of a CSV has a head. --join \
            puts parts together and checks them, and is the way to do it for Parquet.")]
pub(super) struct SweepArgs {
    /// Description file with a [regulator]; the invented example when left out
    description: Option<PathBuf>,
    /// Parameter with its values, KEY=FROM..TO/COUNT or KEY=A,B,C (may be given several times)
    #[arg(long, value_name = "KEY=VALUES", conflicts_with = "sample")]
    over: Vec<String>,
    /// So many circuits from the tolerances instead
    #[arg(long, value_name = "CIRCUITS")]
    sample: Option<u64>,
    /// Seed of the random numbers
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// Table to write: .csv, .jsonl or .parquet
    #[arg(long, value_name = "FILE", required_unless_present = "list")]
    out: Option<PathBuf>,
    /// Write the table anew if it exists
    #[arg(long)]
    replace: bool,
    /// Only this share of the circuits, such as 2/8
    #[arg(long, value_name = "K/N", default_value_t = Part::WHOLE, conflicts_with = "join")]
    part: Part,
    /// Put the tables of all parts, in their order, together instead of solving
    #[arg(long, value_name = "FILE", num_args = 1..)]
    join: Vec<PathBuf>,
    /// Only this brightness step (may be given several times)
    #[arg(long, value_name = "STEP")]
    step: Vec<u32>,
    /// A share of the rated load resistance instead of the description's field
    #[arg(long, value_parser = ratio)]
    load: Option<f64>,
    /// List the parameters that can be varied, and their tolerances
    #[arg(long)]
    list: bool,
}

pub(super) fn run(args: &SweepArgs, json: bool) -> Result<Outcome> {
    let description = varied::description(args.description.as_deref(), args.load)?;
    if args.list {
        print(&list(&description))?;
        return Ok(Outcome::Done);
    }
    let out = args.out.as_deref().ok_or_else(|| Error::malformed("--out with a file", "none"))?;
    TableFormat::of(out)?;
    let design = design(args, &description)?;
    if args.replace {
        Sweep::remove(out)?;
    }
    let circuit = VariedCircuit::new(&description, &args.step)?;
    let columns = Columns::new(&design.parameters());
    let sweep = Sweep::new(&description, &circuit, design, args.part);
    let end = if args.join.is_empty() {
        let mut bar = Bar::that_stops()?;
        let end = sweep.run(out, &mut bar);
        bar.finish();
        end?
    } else {
        sweep.join(&args.join, out)?
    };
    let table = out.display().to_string();
    let document = SweepDocument::new(&description, &circuit, table, &columns, args.part, end);
    let text = text(&document);
    let json_text = to_json(&Document::Sweep(Box::new(document)));
    print(if json { &json_text } else { &text })?;
    Ok(if end.is_complete() { Outcome::Done } else { Outcome::Interrupted })
}

fn design(args: &SweepArgs, description: &Description) -> Result<Design> {
    if let Some(circuits) = args.sample {
        return Design::sample(Tolerance::in_use(description), args.seed, circuits);
    }
    let axes: Vec<Axis> =
        args.over.iter().map(|text| Axis::parse(text, description)).collect::<Result<_>>()?;
    for axis in &axes {
        if !axis.parameter().acts_in(description) {
            return Err(Error::inconsistent(format!(
                "{} changes nothing: the description has a field",
                axis.parameter().key()
            ))
            .with_hint("give a --load to begin from, and the field is left out"));
        }
    }
    Design::grid(axes).map_err(|error| {
        error.with_hint("give at least one --over KEY=FROM..TO/COUNT, or --sample CIRCUITS")
    })
}

fn text(document: &SweepDocument) -> String {
    let mut text = regulated::heading(&document.title, document.invented, &document.circuit);
    if document.found > 0 {
        let _ = writeln!(text, "{} circuits were there", document.found);
    }
    let _ =
        writeln!(text, "{} of {} circuits in {}", document.done, document.circuits, document.table);
    if !document.complete {
        text += "interrupted: run it again to go on where it stopped\n";
    }
    text += "\nNoticed\n";
    for note in &document.notes {
        text += &folded(&note.text, "  ");
    }
    text
}

/// Every parameter with its value and tolerance.
fn list(description: &Description) -> String {
    let row = |parameter: &Parameter| {
        let tolerance =
            description.tolerances.iter().find(|tolerance| tolerance.parameter == *parameter);
        let (law, group) = match tolerance {
            Some(known) => (
                format!(
                    "{}{}",
                    known.distribution.key(),
                    if known.is_generic { " (ours)" } else { "" }
                ),
                known.group.clone(),
            ),
            None => ("-".to_owned(), String::new()),
        };
        vec![parameter.key().to_owned(), plain_number(parameter.nominal()), law, group]
    };
    let rows: Vec<Vec<String>> = Parameter::all(description)
        .iter()
        .filter(|parameter| parameter.acts_in(description))
        .map(row)
        .collect();
    let mut text = String::new();
    for line in table::lines(&["parameter", "value", "tolerance", "group"], &rows, &[1], 3) {
        let _ = writeln!(text, "{line}");
    }
    text += &folded("Values in SI base units, angles in radians; a share is a ratio.", "");
    text
}

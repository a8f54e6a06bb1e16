use std::fmt::Write;
use std::path::PathBuf;

use clap::Args;

use crate::description::Tolerance;
use crate::error::Result;
use crate::report::{
    Document, EstimateDocument, OutputEstimatePart, StepEstimatePart, bare_amperes, bare_percent,
    bare_share, plain_percent, to_json,
};
use crate::study::{CircuitEstimate, EstimateOptions, VariedCircuit};

use super::console::folded;
use super::outcome::Outcome;
use super::progress::Bar;
use super::quantities::ratio;
use super::{figures, regulated, table, varied};

/// What the tolerances leave open: intervals for every step, and which input is behind them.
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  loopcrest estimate --step 1 --circuits 300 --pairs 40\n  \
                        loopcrest estimate bench.toml --circuits 400 --pairs 40 --out estimate\n  \
                        loopcrest estimate bench.toml --step 1 --load 60% --pairs 0\n\n\
                        Tolerances stand in the description as [[tolerance]]; where it says nothing, \
                        defaults of ours are taken.")]
pub(super) struct EstimateArgs {
    /// Description file with a [regulator]; the invented example when left out
    description: Option<PathBuf>,
    /// Only this brightness step (may be given several times)
    #[arg(long, value_name = "STEP")]
    step: Vec<u32>,
    /// A share of the rated load resistance instead of the description's field
    #[arg(long, value_parser = ratio)]
    load: Option<f64>,
    /// Circuits the intervals are taken from
    #[arg(long, default_value_t = EstimateOptions::default().circuits)]
    circuits: u64,
    /// Pairs of circuits the sensitivity indices are taken from; 0 for none
    #[arg(long, default_value_t = EstimateOptions::default().pairs)]
    pairs: u64,
    /// Seed of the random numbers
    #[arg(long, default_value_t = EstimateOptions::default().seed)]
    seed: u64,
    /// Folder for plots and numbers; none is written when left out
    #[arg(long, value_name = "FOLDER")]
    out: Option<PathBuf>,
    /// Replace the folder named with --out if it exists
    #[arg(long, requires = "out")]
    replace: bool,
}

pub(super) fn run(args: &EstimateArgs, json: bool) -> Result<Outcome> {
    let description = varied::description(args.description.as_deref(), args.load)?;
    let options =
        EstimateOptions { circuits: args.circuits, pairs: args.pairs, seed: args.seed }.check()?;
    let circuit = VariedCircuit::new(&description, &args.step)?;
    let mut bar = Bar::new();
    let estimate =
        CircuitEstimate::of(&circuit, &Tolerance::in_use(&description), options, &mut bar);
    bar.finish();
    let estimate = estimate?;
    let document = EstimateDocument::new(&description, &circuit, &estimate);
    let words = document.circuit.clone();
    let text = text(&document);
    let json_text = to_json(&Document::Estimate(Box::new(document)));
    let folder = regulated::write(args.out.as_ref(), args.replace, || {
        let mut files = figures::estimate(&estimate, &words)?;
        files.push(("estimate.json".into(), json_text.clone().into_bytes()));
        Ok(files)
    })?;
    regulated::show(json, &json_text, &text, folder.as_deref())?;
    Ok(Outcome::Done)
}

fn text(document: &EstimateDocument) -> String {
    let mut text = regulated::heading(&document.title, document.invented, &document.circuit);
    let _ = writeln!(
        text,
        "{} circuits from {} tolerances, seed {}\n",
        document.circuits,
        document.tolerances.len(),
        document.seed
    );
    for step in &document.steps {
        match &step.sentence {
            Some(sentence) => text += &folded(sentence, ""),
            None => {
                let _ = writeln!(
                    text,
                    "step {}: too few circuits hold it for an interval ({} of {})",
                    step.step, step.held, step.circuits
                );
            }
        }
    }
    text.push('\n');
    text += &intervals(document);
    text += &indices(document);
    text += "\nNoticed\n";
    for note in &document.notes {
        text += &folded(&note.text, "  ");
    }
    text
}

/// The 95 % interval of every output at every step.
fn intervals(document: &EstimateDocument) -> String {
    let header = ["step", "A", "", "described", "low", "median", "high", "not held"];
    let rows: Vec<Vec<String>> = document.steps.iter().flat_map(interval_rows).collect();
    let mut text = String::from("95 % intervals\n");
    for line in table::lines(&header, &rows, &[0, 1, 3, 4, 5, 6, 7], 2) {
        let _ = writeln!(text, "{line}");
    }
    text
}

fn interval_rows(step: &StepEstimatePart) -> Vec<Vec<String>> {
    let row = |(at, output): (usize, &OutputEstimatePart)| {
        let (name, shown): (&str, fn(f64) -> String) = match output.output {
            "crest_factor" => ("crest factor", |value| format!("{value:.3}")),
            "average_error_ratio" => ("average meter, %", bare_percent),
            _ => ("output peak, V", |value| format!("{value:.0}")),
        };
        let first = at == 0;
        let on_first = |text: String| if first { text } else { String::new() };
        vec![
            on_first(step.step.to_string()),
            on_first(bare_amperes(step.nominal_rms_a)),
            name.to_owned(),
            output.nominal.map_or_else(|| "-".into(), shown),
            shown(output.low.value),
            shown(output.median),
            shown(output.high.value),
            on_first(plain_percent(step.not_held_ratio)),
        ]
    };
    step.outputs.iter().enumerate().map(row).collect()
}

/// Total and first-order indices of the crest factor.
fn indices(document: &EstimateDocument) -> String {
    let crest = |step: &StepEstimatePart| -> Option<usize> {
        step.outputs.iter().position(|output| output.output == "crest_factor")
    };
    let known: Vec<_> = document
        .steps
        .iter()
        .filter_map(|step| Some((step.step, step.outputs[crest(step)?].indices.as_ref()?)))
        .collect();
    let Some((_, groups)) = known.first() else { return String::new() };
    let mut header = vec!["crest factor, %".to_owned()];
    header.extend(known.iter().map(|(step, _)| format!("step {step}")));
    let row = |at: usize| {
        let mut row = vec![groups[at].group.clone()];
        row.extend(known.iter().map(|(_, indices)| {
            let index = &indices[at];
            let total = bare_share(index.total_ratio);
            format!("{total} ({})", bare_share(index.first_order_ratio))
        }));
        row
    };
    let rows: Vec<Vec<String>> = (0..groups.len()).map(row).collect();
    let heads: Vec<&str> = header.iter().map(String::as_str).collect();
    let right: Vec<usize> = (1..heads.len()).collect();
    let mut text = String::from("\n");
    for line in table::lines(&heads, &rows, &right, 0) {
        let _ = writeln!(text, "{line}");
    }
    text += &folded(
        "Share of the variance that remains when everything else is known; in brackets, share that \
         vanishes when this is.",
        "",
    );
    text
}

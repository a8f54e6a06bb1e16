use std::fmt::Write;
use std::path::PathBuf;

use clap::{ArgGroup, Args};

use crate::description::{Description, FieldSetup, RegulatorSetup, misspelt};
use crate::error::{Error, Result};
use crate::regulator::Step;
use crate::regulator::ValuesOrigin;
use crate::report::{
    Document, LampsOutDocument, LampsOutEstimatePart, LampsOutPointPart, LampsOutStepPart, percent,
    plain_number, plain_percent, ratio_as_percent, to_json,
};
use crate::series::{LampsOut, LampsOutEstimate, LampsOutSweep, MeasuredShape, ShapeQuantity};

use super::console::{cautions, folded};
use super::outcome::Outcome;
use super::quantities::ratio;
use super::{field, field_csv, field_figures, regulated, table};

/// Shares in the tables, from none to the most.
const TABLE_SHARES: usize = 9;
/// Shares behind the answer to the reverse question.
const ESTIMATE_SHARES: usize = 41;

/// What a table shows of a point; nothing where it is unknown.
type Cell = fn(&LampsOutPointPart) -> Option<String>;

#[derive(Debug, Args)]
#[command(group(ArgGroup::new("shape").args(["crest", "average_ratio"]).requires("uncertainty")))]
#[command(after_help = "Examples:\n  loopcrest lamps-out\n  \
                        loopcrest lamps-out bench.toml --group \"edge lights\"\n  \
                        loopcrest lamps-out bench.toml --step 1 --crest 1.62 --uncertainty 0.02\n  \
                        loopcrest lamps-out --step 2 --average-ratio 97% --uncertainty 0.5%")]
pub(super) struct LampsOutArgs {
    /// Description file with a [regulator] and a [field]; the invented example when left out
    pub(super) description: Option<PathBuf>,
    /// Lamps out in this group only; the same share of every group when left out
    #[arg(long)]
    pub(super) group: Option<String>,
    /// Measured crest factor: how many lamps are out?
    #[arg(long)]
    pub(super) crest: Option<f64>,
    /// Measured indication of an average-responding meter over the true RMS: how many are out?
    #[arg(long, value_parser = ratio)]
    pub(super) average_ratio: Option<f64>,
    /// Standard uncertainty of what was measured
    #[arg(long, value_parser = ratio, requires = "shape")]
    pub(super) uncertainty: Option<f64>,
    /// Step at which it was measured; the brightest when left out
    #[arg(long, requires = "shape")]
    pub(super) step: Option<u32>,
    /// Folder for plots and numbers; none is written when left out
    #[arg(long, value_name = "FOLDER")]
    pub(super) out: Option<PathBuf>,
    /// Replace the folder named with --out if it exists
    #[arg(long, requires = "out")]
    pub(super) replace: bool,
}

/// Every step as the share of lamps out grows, and the reverse question.
pub(super) fn run(args: &LampsOutArgs, json: bool) -> Result<Outcome> {
    let file = args.description.as_deref();
    let description = regulated::description(file)?;
    let setup = regulated::setup(&description, file, None, None)?;
    let loop_field = field::of(&description)?;
    let which = which(loop_field, args.group.as_deref())?;
    let steps = description.steps.steps();
    let sweeps = loop_field.lamps_out(&setup, which, TABLE_SHARES, steps)?;
    let group = args.group.as_deref();
    let mut document =
        LampsOutDocument::new(&description, &setup, group, &sweeps, &loop_field.notes);
    if let Some(measured) = measured(args) {
        let step = step(&description, args.step)?;
        document = estimated(document, &setup, loop_field, which, step, &measured)?;
    }
    let text = text(&document, setup.regulator.values.origin);
    let csv = field_csv::lamps_out(&document);
    let json_text = to_json(&Document::LampsOut(Box::new(document)));
    let folder = regulated::write(args.out.as_ref(), args.replace, || {
        let mut files = field_figures::lamps_out(&description, &setup, loop_field, which, &sweeps)?;
        files.push(("lamps-out.json".into(), json_text.clone().into_bytes()));
        files.push(csv);
        Ok(files)
    })?;
    regulated::show(json, &json_text, &text, folder.as_deref())?;
    Ok(Outcome::Done)
}

fn which(field: &FieldSetup, group: Option<&str>) -> Result<LampsOut> {
    let Some(name) = group else { return Ok(LampsOut::EveryGroup) };
    let names: Vec<&str> = field.field.groups.iter().map(|group| group.name.as_str()).collect();
    match names.iter().position(|known| *known == name) {
        Some(at) => Ok(LampsOut::Group(at)),
        None => {
            let expected = format!("one of the groups {}", names.join(", "));
            Err(misspelt(expected, name, names).with_context("--group"))
        }
    }
}

fn measured(args: &LampsOutArgs) -> Option<MeasuredShape> {
    let standard_uncertainty = args.uncertainty?;
    let (quantity, value) = match (args.crest, args.average_ratio) {
        (Some(crest), _) => (ShapeQuantity::CrestFactor, crest),
        (None, average) => (ShapeQuantity::AverageOverRms, average?),
    };
    Some(MeasuredShape { quantity, value, standard_uncertainty })
}

fn step(description: &Description, number: Option<u32>) -> Result<&Step> {
    let Some(number) = number else { return Ok(description.steps.top()) };
    description.steps.step(number).ok_or_else(|| {
        let known: Vec<_> =
            description.steps.steps().iter().map(|step| step.number.to_string()).collect();
        let expected = format!("a step of the description: {}", known.join(", "));
        Error::malformed(expected, format!("--step {number}"))
    })
}

fn estimated(
    document: LampsOutDocument,
    setup: &RegulatorSetup,
    field: &FieldSetup,
    which: LampsOut,
    step: &Step,
    measured: &MeasuredShape,
) -> Result<LampsOutDocument> {
    measured.check()?;
    let sweeps = field.lamps_out(setup, which, ESTIMATE_SHARES, std::slice::from_ref(step))?;
    let fine: &LampsOutSweep =
        sweeps.first().ok_or_else(|| Error::inconsistent("the step was not swept"))?;
    let found = LampsOutEstimate::of(fine, measured)?;
    Ok(document.with_estimate(step.number, measured, &found.value, &found.notes))
}

fn text(document: &LampsOutDocument, origin: ValuesOrigin) -> String {
    let mut text = regulated::heading(&document.title, document.invented, &document.regulator);
    let of = match &document.group {
        Some(group) => format!("of the group \"{group}\""),
        None => "of every group".to_owned(),
    };
    let _ = writeln!(text, "\nOut: share of open secondaries {of}. Columns: step and nominal.");
    let tables: [(&str, Cell); 4] = [
        ("crest factor", |point| point.crest_factor.map(|crest| format!("{crest:.3}"))),
        ("error of an average-responding meter", |point| point.average_error_ratio.map(percent)),
        ("peak of the output voltage in V", |point| {
            point.output_peak_v.map(|peak_v| format!("{peak_v:.0}"))
        }),
        ("peak across an open secondary in V", |point| {
            point.open_secondary_peak_v.map(|peak_v| format!("{peak_v:.1}"))
        }),
    ];
    for (title, cell) in tables {
        let _ = writeln!(text, "\n{title}");
        text += &grid(&document.steps, cell);
    }
    text.push('\n');
    for step in &document.steps {
        if let Some(limit_ratio) = step.limit_ratio {
            let line = format!(
                "step {} can no longer be held from {} of the lamps out",
                step.step,
                plain_percent(limit_ratio)
            );
            text += &folded(&line, "");
        }
    }
    if document.steps.iter().all(|step| step.limit_ratio.is_none()) {
        text += "Every step is held at every share shown.\n";
    }
    if let Some(estimate) = &document.estimate {
        text += &estimate_text(estimate);
    }
    if !document.notes.is_empty() {
        text += "\nNoticed\n";
    }
    for note in &document.notes {
        text += &folded(&note.text, "  ");
    }
    text += &regulated::closing(origin);
    if document.estimate.is_some() {
        text += &cautions();
    }
    text
}

/// One row for each share, one column for each step.
fn grid(steps: &[LampsOutStepPart], cell: Cell) -> String {
    let mut header = vec!["out".to_owned()];
    let name =
        |step: &LampsOutStepPart| format!("{}: {} A", step.step, plain_number(step.nominal_rms_a));
    header.extend(steps.iter().map(name));
    let header: Vec<&str> = header.iter().map(String::as_str).collect();
    let shares = steps.first().map_or(0, |step| step.points.len());
    let rows: Vec<Vec<String>> = (0..shares)
        .map(|at| {
            let mut row: Vec<String> = steps
                .iter()
                .take(1)
                .map(|step| ratio_as_percent(step.points[at].open_ratio))
                .collect();
            let cells = steps.iter().map(|step| {
                let point = &step.points[at];
                let empty = if point.held { "-" } else { "not held" };
                cell(point).unwrap_or_else(|| empty.to_owned())
            });
            row.extend(cells);
            row
        })
        .collect();
    let right: Vec<usize> = (0..header.len()).collect();
    let mut text = String::new();
    for line in table::lines(&header, &rows, &right, 0) {
        let _ = writeln!(text, "{line}");
    }
    text
}

fn estimate_text(estimate: &LampsOutEstimatePart) -> String {
    let quantity = match estimate.quantity {
        "crest-factor" => "crest factor",
        _ => "average-responding indication over true RMS",
    };
    let mut text = format!(
        "\n{quantity} {:.4} (standard uncertainty {}) at step {}\n",
        estimate.measured,
        plain_number(estimate.standard_uncertainty),
        estimate.step
    );
    let stretches: Vec<String> = estimate
        .stretches
        .iter()
        .map(|(low, high)| format!("{} to {}", plain_percent(*low), plain_percent(*high)))
        .collect();
    let _ = writeln!(
        text,
        "  most likely {} of the lamps out; {} lie in {}",
        plain_percent(estimate.most_likely_ratio),
        ratio_as_percent(estimate.coverage),
        stretches.join(" or ")
    );
    text
}

use std::fmt::Write;
use std::path::PathBuf;

use clap::Args;

use crate::assess::StepCase;
use crate::description::{Description, misspelt};
use crate::error::{Error, Result};
use crate::meter::{Archetype, Meter, Sheet, Signal, Simulation, WindowStart};
use crate::report::{
    Document, LimitsPart, MeterReadingDocument, amperes, bare_percent, percent, signed_amperes,
    to_json,
};

use super::console::{cautions, folded};
use super::instruments::one_meter;
use super::outcome::Outcome;
use super::quantities::{angle, ratio};
use super::{figures, regulated, table};

#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  loopcrest reading --meter general-true-rms-clamp --step 3\n  \
                        loopcrest reading bench.toml --meter \"average clamp\" --load 60%\n  \
                        loopcrest reading --meter average-responding-clamp --out why"
)]
pub(super) struct ReadingArgs {
    /// Description file; the invented example when left out
    pub(super) description: Option<PathBuf>,
    /// Meter of the description, or an archetype (see `loopcrest meters`); the first meter of the
    /// description with a data sheet when left out
    #[arg(long, value_name = "METER")]
    pub(super) meter: Option<String>,
    /// Brightness step; the brightest when left out
    #[arg(long)]
    pub(super) step: Option<u32>,
    /// Load as a share of the rated load resistance; the description's when left out
    #[arg(long, value_parser = ratio)]
    pub(super) load: Option<f64>,
    /// Phase of the period at which the window begins; anywhere when left out
    #[arg(long, value_parser = angle)]
    pub(super) window_at: Option<f64>,
    /// Folder for plots and numbers; none is written when left out
    #[arg(long, value_name = "FOLDER")]
    pub(super) out: Option<PathBuf>,
    /// Replace the folder named with --out if it exists
    #[arg(long, requires = "out")]
    pub(super) replace: bool,
}

/// What one meter shows of the current of one step, and why.
pub(super) fn run(args: &ReadingArgs, json: bool) -> Result<Outcome> {
    let file = args.description.as_deref();
    let mut description = regulated::description(file)?;
    if args.load.is_some() {
        description.regulator = Some(regulated::setup(&description, file, args.load, None)?);
    }
    let meter = one_meter(&description, file, args.meter.as_deref())?;
    regulated::nominal_a(&description, args.step)?; // complains of a step that is not in the table
    let number = args.step.unwrap_or(description.steps.top().number);
    let cases = description.cases()?;
    let case = cases.value.iter().find(|case| case.step.number == number);
    let case = case.ok_or_else(|| {
        let told = cases.notes.iter().find(|note| note.code == "out-of-reach");
        Error::inconsistent(
            told.map_or("this step has no current".into(), |note| note.text.clone()),
        )
    })?;
    let sheet = meter.sheet.clone().unwrap_or_else(|| Sheet::ideal(meter.detector));
    let start =
        args.window_at.map_or(WindowStart::Anywhere, |phase_rad| WindowStart::At { phase_rad });
    let reading = Simulation::new(sheet, description.frequency_hz)?
        .read(&Signal::of(&case.waveform), start)?;
    let document = MeterReadingDocument::new(&description, &meter, case, &reading);
    let text = text(&document, meter.sheet.is_some(), case);
    let json_text = to_json(&Document::MeterReading(Box::new(document)));
    let folder = regulated::write(args.out.as_ref(), args.replace, || {
        let mut files = figures::reading(&reading, &meter, case)?;
        files.push(("reading.json".into(), json_text.clone().into_bytes()));
        Ok(files)
    })?;
    regulated::show(json, &json_text, &text, folder.as_deref())?;
    Ok(Outcome::Done)
}

/// The meter of that name, or of that kind.
pub(super) fn meter(description: &Description, name: Option<&str>) -> Result<Meter> {
    let meters = &description.meters;
    let Some(name) = name else {
        let first = meters.first().cloned();
        return first.ok_or_else(|| Error::inconsistent("the description has no meter"));
    };
    if let Some(meter) = meters.iter().find(|meter| meter.name == name) {
        return Ok(meter.clone());
    }
    if let Some(kind) = Archetype::from_key(name) {
        return Ok(Meter::with_sheet(kind.words(), kind.sheet()));
    }
    let names = meters.iter().map(|meter| meter.name.as_str());
    let known: Vec<&str> = names.chain(Archetype::ALL.map(Archetype::key)).collect();
    Err(misspelt(format!("--meter as one of {}", known.join(", ")), name, known.iter().copied()))
}

fn text(document: &MeterReadingDocument, has_sheet: bool, case: &StepCase) -> String {
    let mut text = regulated::heading(
        &document.title,
        document.invented,
        folded(&document.origin, "").trim_end(),
    );
    let kind = if has_sheet { "" } else { ", ideal: no data sheet" };
    let _ = writeln!(text, "{} ({}{kind})", document.meter, case_words(document, case));
    let _ = writeln!(
        text,
        "\n  true RMS {}   shows {}   error {}\n",
        amperes(document.true_rms_a),
        document.shown_a.map_or("OVERLOAD".into(), amperes),
        document.error_ratio.map_or("undefined".into(), percent)
    );
    let undefined = || "undefined".to_owned();
    let rows: Vec<Vec<String>> = document
        .causes
        .iter()
        .map(|cause| {
            vec![
                cause.words.to_owned(),
                signed_amperes(cause.error_a),
                cause.error_ratio.map_or_else(undefined, bare_percent),
                amperes(cause.after_a),
            ]
        })
        .collect();
    for line in table::lines(&["cause", "adds A", "adds %", "reading then"], &rows, &[1, 2, 3], 0) {
        let _ = writeln!(text, " {line}");
    }
    text.push('\n');
    let _ = writeln!(
        text,
        "  range {}, last digit {} A; crest factor {}{}",
        amperes(document.range_a),
        document.resolution_a,
        factor(document.crest_factor),
        document
            .allowed_crest_factor
            .map_or(String::new(), |allowed| format!(", allowed {allowed:.2}"))
    );
    if let (Some(low_a), Some(high_a)) = (document.window_low_a, document.window_high_a) {
        let _ = writeln!(
            text,
            "  depending on where the window begins: {} to {}",
            amperes(low_a),
            amperes(high_a)
        );
    }
    if has_sheet {
        text += "\nHow far its sheet lets it be off here, either way (not in the error above)\n";
        text += &limits(&document.limits);
    }
    if !document.notes.is_empty() {
        text += "\nNoticed\n";
        for note in &document.notes {
            text += &folded(&note.text, "  ");
        }
    }
    text + &cautions()
}

fn case_words(document: &MeterReadingDocument, case: &StepCase) -> String {
    format!("{}, step {}", document.indication, case.step.number)
}

fn limits(limits: &LimitsPart) -> String {
    let rows = [
        ("accuracy", limits.accuracy_a),
        ("crest factor", limits.crest_a),
        ("clamp class", limits.clamp_a),
        ("conductor position", limits.position_a),
        ("temperature", limits.temperature_a),
        ("half a digit", Some(limits.resolution_a)),
    ];
    let mut text = String::new();
    for (name, limit_a) in rows {
        let limit = limit_a.map_or("not stated".into(), amperes);
        let _ = writeln!(text, "  {name:<20}{limit:>10}");
    }
    text
}

fn factor(value: Option<f64>) -> String {
    value.map_or("undefined".into(), |value| format!("{value:.2}"))
}

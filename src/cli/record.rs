use std::fmt::Write;
use std::path::PathBuf;

use clap::Args;

use crate::assess::Survey;
use crate::description::Description;
use crate::error::{Error, Result};
use crate::report::{
    Document, RecordDocument, RecordResult, SeriesFiles, SeriesKind, amperes, bare_percent,
    plain_number, plain_percent, to_json,
};
use crate::waveform::Waveform;

use super::console::{cautions, folded, refuse_standard_input};
use super::outcome::Outcome;
use super::recorded::{Read, ReadingArgs};
use super::{readings, record_figures, regulated, table};

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  loopcrest record night.csv\n  \
                        loopcrest record night.csv --series rms.parquet --half-cycles half.csv\n  \
                        loopcrest record night.csv --clamp 100mV/A --clamp-accuracy 1% --out night\n  \
                        loopcrest record night.csv --meters bench.toml --step 5")]
pub(super) struct RecordArgs {
    /// The file an oscilloscope or logger wrote; of any size
    file: PathBuf,
    #[command(flatten)]
    reading: ReadingArgs,
    /// Description whose meters and steps the record is judged by
    #[arg(long, value_name = "DESCRIPTION", conflicts_with = "bands")]
    meters: Option<PathBuf>,
    /// Judge the true RMS against this brightness step; exit code 1 when it is outside the band
    #[arg(long)]
    step: Option<u32>,
    /// Write every period into this file (.csv or .parquet)
    #[arg(long, value_name = "FILE")]
    series: Option<PathBuf>,
    /// Write the one-cycle RMS of every half cycle into this file (.csv or .parquet)
    #[arg(long, value_name = "FILE")]
    half_cycles: Option<PathBuf>,
    /// Write every window of 10 or 12 cycles into this file (.csv or .parquet)
    #[arg(long, value_name = "FILE")]
    windows: Option<PathBuf>,
    /// Folder for plots and numbers; none is written when left out
    #[arg(long, value_name = "FOLDER")]
    out: Option<PathBuf>,
    /// Replace the folder named with --out if it exists
    #[arg(long, requires = "out")]
    replace: bool,
}

/// A whole record: every period, what happened, which step, every meter.
pub(super) fn run(args: &RecordArgs, json: bool) -> Result<Outcome> {
    refuse_standard_input(&args.file)?;
    let description = args.meters.as_deref().map(Description::read).transpose()?;
    let steps = args.reading.table(description.as_ref())?;
    let asked = match args.step {
        Some(number) => Some(steps.step(number).ok_or_else(|| {
            let known: Vec<_> = steps.steps().iter().map(|step| step.number.to_string()).collect();
            Error::malformed(
                format!("a step of {}: {}", steps.name(), known.join(", ")),
                format!("--step {number}"),
            )
        })?),
        None => None,
    };
    let mut series = SeriesFiles::default();
    for (kind, target) in [
        (SeriesKind::Periods, &args.series),
        (SeriesKind::HalfCycles, &args.half_cycles),
        (SeriesKind::Windows, &args.windows),
    ] {
        if let Some(target) = target {
            series.begin(kind, target)?;
        }
    }
    let read = args.reading.read(&args.file, &steps, asked, &mut series)?;
    let waveform = waveform(&read)?;
    let survey = survey(&read, &waveform, description.as_ref(), args)?;
    let series = series.finish()?;
    let document = RecordDocument::new(&RecordResult {
        file: &args.file,
        stream: &read.stream,
        summary: &read.summary,
        waveform: &waveform,
        uncertainty: read.uncertainty,
        step: &read.step,
        verdicts: survey.as_ref().and_then(|survey| survey.results().first()),
        series: series.iter().map(|(target, _)| target.display().to_string()).collect(),
        notes: &read.notes,
    });
    let against = document.step.asked_for && document.step.placement != Some("inside");
    let text = text(&document);
    let json_text = to_json(&Document::Record(Box::new(document)));
    let folder = regulated::write(args.out.as_ref(), args.replace, || {
        let mut files = record_figures::draw(&args.file, &read)?;
        files.push(("record.json".into(), json_text.clone().into_bytes()));
        Ok(files)
    })?;
    regulated::show(json, &json_text, &text, folder.as_deref())?;
    Ok(if against { Outcome::VerdictAgainst } else { Outcome::Done })
}

/// The averaged period of the stretch that stands for the record.
fn waveform(read: &Read) -> Result<Waveform> {
    let part = read.summary.representative();
    let waveform = part.averaged.waveform(read.summary.highest_order)?;
    waveform.ok_or_else(|| Error::inconsistent("the record holds no whole period"))
}

/// The description's meters on this very current.
fn survey(
    read: &Read,
    waveform: &Waveform,
    description: Option<&Description>,
    args: &RecordArgs,
) -> Result<Option<Survey>> {
    let Some(description) = description else { return Ok(None) };
    let name = args.file.file_name().unwrap_or(args.file.as_os_str()).to_string_lossy();
    match read.step.case(waveform, &name)? {
        Some(case) if read.summary.steady.is_some() => description.survey(&[case]).map(Some),
        _ => Ok(None),
    }
}

fn text(document: &RecordDocument) -> String {
    let mut text = String::new();
    let name = document.column_name.as_ref().map_or(String::new(), |name| format!(" \"{name}\""));
    let _ = writeln!(
        text,
        "{}\n  column {}{name}, {} samples at {} Hz, {:.3} s, {} periods",
        document.file,
        document.column,
        document.samples,
        plain_number(document.sample_rate_hz),
        document.duration_s,
        document.periods
    );
    let frequency = &document.frequency;
    let moves = match (frequency.least_hz, frequency.most_hz) {
        (Some(least_hz), Some(most_hz)) => format!(", {least_hz:.3} to {most_hz:.3} Hz"),
        _ => String::new(),
    };
    let _ = writeln!(text, "  mains {:.4} Hz{moves}", frequency.steady_hz);
    let _ = writeln!(
        text,
        "  RMS of single periods {} to {}",
        amperes(document.rms.least_period_a),
        amperes(document.rms.most_period_a)
    );
    let steady = &document.steady;
    let which = if steady.is_steady { "The longest steady stretch" } else { "Nowhere steady; all" };
    let _ = writeln!(
        text,
        "\n{which}: {:.3} s to {:.3} s, {} periods",
        steady.start_s, steady.end_s, steady.periods
    );
    text += &match &document.measures {
        Some(measures) => readings::text(measures, &document.readings),
        None => folded(
            "No one period stands for a current that changes all the time, so no meter's reading is \
             given. Choose a stretch: loopcrest capture with --from and --to.",
            "  ",
        ),
    };
    text += &worth(document);
    text += &step(document);
    text += &meters(document);
    if !document.events.is_empty() {
        text += "\nWhat happened\n";
        for event in &document.events {
            text += &folded(&format!("{:.3} s: {}", event.start_s, event.text), "  ");
        }
    }
    if !document.notes.is_empty() {
        text += "\nNoticed\n";
        for note in &document.notes {
            text += &folded(&note.text, "  ");
        }
    }
    for file in &document.series {
        let _ = writeln!(text, "\nTime series: {file}");
    }
    text += &cautions();
    text
}

/// What the RMS is worth.
fn worth(document: &RecordDocument) -> String {
    let worth = &document.uncertainty;
    let part = |name: &str, ratio: Option<f64>| {
        ratio.map_or(format!("{name} unknown"), |ratio| format!("{name} {}", plain_percent(ratio)))
    };
    let parts = [
        part("scaling", worth.scaling_ratio),
        part("noise", worth.noise_ratio),
        part("window", worth.window_ratio),
    ];
    let without = if worth.scaling_ratio.is_none() {
        "; the clamp's own error is not in it (--clamp-accuracy)"
    } else {
        ""
    };
    let line = format!(
        "True RMS {} ± {} (k = {}; standard uncertainties: {}){without}.",
        amperes(document.steady.rms_a),
        plain_percent(worth.expanded_ratio),
        worth.coverage_factor,
        parts.join(", ")
    );
    format!("\n{}", folded(&line, ""))
}

fn step(document: &RecordDocument) -> String {
    let step = &document.step.step;
    let which = if document.step.asked_for { "asked for" } else { "the nearest" };
    let doubt =
        if document.step.beyond_doubt { "" } else { ", but within the uncertainty of an edge" };
    let verdict = match (document.step.placement, document.step.no_verdict) {
        (Some("inside"), _) => format!("the true RMS is IN BAND{doubt}"),
        (Some("low"), _) => format!("the true RMS is LOW{doubt}"),
        (Some(_), _) => format!("the true RMS is HIGH{doubt}"),
        (None, why) => format!("NO VERDICT: {}", why.unwrap_or("unknown")),
    };
    let line = format!(
        "Step {} ({which}), nominal {:.2} A, band {:.2} to {:.2} A: {verdict}",
        step.number, step.nominal_rms_a, step.band_low_a, step.band_high_a
    );
    format!("\n{}{}", folded(&line, ""), folded(&step.band_source, "  "))
}

fn meters(document: &RecordDocument) -> String {
    if document.meters.is_empty() {
        return String::new();
    }
    let rows: Vec<Vec<String>> = document
        .meters
        .iter()
        .map(|meter| {
            let band = match (meter.set_band_low_a, meter.set_band_high_a) {
                (Some(low_a), Some(high_a)) => format!("{low_a:.2} to {high_a:.2}"),
                _ => "-".into(),
            };
            vec![
                meter.name.clone(),
                amperes(meter.shown_a),
                bare_percent(meter.error_ratio),
                band,
                meter.trimmed_true_rms_a.map_or("-".into(), amperes),
                meter.fitness.to_owned(),
            ]
        })
        .collect();
    let header = ["meter", "shows", "error %", "set band A", "trimmed to", "verdict"];
    let mut text = String::from("\nEach meter on this current, scaled to the nominal\n");
    for line in table::lines(&header, &rows, &[1, 2, 4], 0) {
        let _ = writeln!(text, " {line}");
    }
    text
}

use std::fmt::Write;
use std::path::PathBuf;

use clap::Args;

use crate::description::{Description, RegulatorSetup, misspelt};
use crate::error::{Bounds, Note, Result};
use crate::identify::{
    Answer, FitOptions, Fitted, FittedCapture, Parameter, Prediction, fit, predict,
};
use crate::report::{
    Document, FitCapturePart, FitDocument, FitSetting, amperes, plain_percent, ratio_as_percent,
    to_json,
};

use super::console::folded;
use super::fit_capture::FitCapture;
use super::outcome::Outcome;
use super::{figures, regulated, starter, table};

/// Orders that make sense: three shapes at least, and no more than a scope's record holds.
const ORDERS: Bounds = Bounds::new("highest harmonic order", "", 3.0, 200.0);

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  \
                        loopcrest fit --capture short.csv@step=5,load=2% --free output-reactance\n  \
                        loopcrest fit --capture short.csv@load=2% --free source --write mine.toml\n\n\
                        Every --capture adds a record; --hold-out one that is predicted only.\n\
                        Free: source, input-reactance, input-resistance, capacitor-reactance, \
                        control-reactance, control-resistance, output-reactance, iron-linear, \
                        iron-power, iron-knee, supply-harmonic-5 and other orders.\n\
                        Exit code 1 unless the captures are explained to their noise.")]
pub(super) struct FitArgs {
    /// Description file with the [regulator] to begin from; the invented example when left out
    pub(super) description: Option<PathBuf>,
    /// A capture to fit to (may be given several times); known of it: step, load, column,
    /// time-column, unit, clamp, full-scale, sample-rate, from, to
    #[arg(long, required = true, value_name = "FILE@KEY=VALUE,...")]
    pub(super) capture: Vec<FitCapture>,
    /// Values that may move
    #[arg(long, required = true, value_delimiter = ',', value_name = "VALUE,...")]
    pub(super) free: Vec<String>,
    /// A capture that is not used but predicted (may be given several times)
    #[arg(long, value_name = "FILE@KEY=VALUE,...")]
    pub(super) hold_out: Vec<FitCapture>,
    /// Highest harmonic order that is compared
    #[arg(long, value_name = "ORDER", default_value_t = FitOptions::HIGHEST_ORDER)]
    pub(super) highest_order: usize,
    /// Write the description with the fitted values into this file
    #[arg(long, value_name = "FILE")]
    pub(super) write: Option<PathBuf>,
    /// Folder for figures and numbers; none is written when left out
    #[arg(long, value_name = "FOLDER")]
    pub(super) out: Option<PathBuf>,
    /// Replace what is named with --write and --out if it exists
    #[arg(long)]
    pub(super) replace: bool,
}

/// Fits the description's regulator to captures.
pub(super) fn run(args: &FitArgs, json: bool) -> Result<Outcome> {
    let file = args.description.as_deref();
    let description = regulated::description(file)?;
    let setup = regulated::setup(&description, file, None, None)?;
    ORDERS.check(args.highest_order as f64)?;
    let free = free(&args.free)?;
    let mut noticed = Vec::new();
    let mut observe = |captures: &[FitCapture]| {
        let mut seen = Vec::new();
        for capture in captures {
            let noted = capture.observe(&description, &setup, args.highest_order)?;
            noticed.extend(noted.notes);
            seen.push(noted.value);
        }
        Ok(seen)
    };
    let (observations, settings): (Vec<_>, Vec<_>) = observe(&args.capture)?.into_iter().unzip();
    let held_out = observe(&args.hold_out)?;
    let options = FitOptions::default();
    let fitted = fit(&setup.regulator, &free, &observations, &options)?;
    let predictions = held_out
        .iter()
        .map(|(seen, setting)| Ok((predict(&fitted, seen, &options)?, setting.clone())))
        .collect::<Result<Vec<_>>>()?;
    show(args, json, &Shown { description, setup, fitted, settings, predictions, noticed })
}

/// Everything that is shown.
struct Shown {
    description: Description,
    setup: RegulatorSetup,
    fitted: Fitted,
    settings: Vec<FitSetting>,
    predictions: Vec<(Prediction, FitSetting)>,
    noticed: Vec<Note>,
}

fn show(args: &FitArgs, json: bool, shown: &Shown) -> Result<Outcome> {
    let Shown { description, setup, fitted, settings, predictions, noticed } = shown;
    let document = FitDocument::new(description, setup, fitted, settings, predictions, noticed);
    let mut text = text(&document, fitted.answer);
    let json_text = to_json(&Document::Fit(Box::new(document)));
    let all = || {
        let used = fitted.captures.iter().map(|capture| (capture, false));
        used.chain(predictions.iter().map(|(prediction, _)| (&prediction.capture, true)))
    };
    let folder = regulated::write(args.out.as_ref(), args.replace, || {
        let mut files = figures::fit(&all().collect::<Vec<_>>(), setup)?;
        files.push(("fit.json".into(), json_text.clone().into_bytes()));
        for (number, (capture, _)) in (1..).zip(all()) {
            files.push((format!("period-{number}.csv"), period_csv(capture).into_bytes()));
        }
        Ok(files)
    })?;
    if let Some(file) = &args.write {
        let fitted_text = description.fitted_text(fitted)?;
        starter::write_whole(file, fitted_text.as_bytes(), args.replace)?;
        let _ = writeln!(text, "\nWrote {}", file.display());
    }
    regulated::show(json, &json_text, &text, folder.as_deref())?;
    Ok(match fitted.answer {
        Answer::Explained => Outcome::Done,
        _ => Outcome::VerdictAgainst,
    })
}

fn free(keys: &[String]) -> Result<Vec<Parameter>> {
    let mut free = Vec::new();
    for key in keys {
        free.extend(Parameter::from_key(key).ok_or_else(|| {
            let known = Parameter::KEYS;
            let expected = format!("one of {}, supply-harmonic-5 and the like", known.join(", "));
            misspelt(expected, key, known)
        })?);
    }
    Ok(free)
}

fn period_csv(capture: &FittedCapture) -> String {
    let mut text = String::from("time_s,measured_a,fitted_a\n");
    let pairs = capture.measured.samples_a().iter().zip(capture.fitted.samples_a());
    for (k, (measured_a, fitted_a)) in pairs.enumerate() {
        let _ = writeln!(text, "{:.9},{measured_a:.7},{fitted_a:.7}", capture.measured.time_s(k));
    }
    text
}

fn text(document: &FitDocument, answer: Answer) -> String {
    let mut text = regulated::heading(&document.title, document.invented, &document.regulator);
    text += &folded(&answer_words(document, answer), "");
    text.push('\n');
    let or_dash = |value: Option<f64>| value.map_or("-".into(), significant);
    let rows: Vec<Vec<String>> = document
        .estimates
        .iter()
        .map(|own| {
            vec![
                own.value_of.clone(),
                significant(own.start),
                significant(own.value),
                or_dash(own.standard_uncertainty),
                or_dash(own.low),
                or_dash(own.high),
                own.unit.to_owned(),
                if own.told { String::new() } else { "NOT TOLD".into() },
            ]
        })
        .collect();
    let header = ["value", "start", "fitted", "std unc", "95 % from", "to", "unit", ""];
    for line in table::lines(&header, &rows, &[1, 2, 3, 4, 5], 0) {
        let _ = writeln!(text, " {line}");
    }
    text += "\nCombinations, the best told first (relative standard uncertainty)\n";
    for combination in &document.combinations {
        let u = combination.standard_uncertainty_ratio.map_or("not seen".into(), plain_percent);
        text += &folded(&format!("{u}: {}", combination.words), "  ");
    }
    text += "\nCaptures used\n";
    for capture in &document.captures {
        text += &capture_text(capture);
    }
    if !document.predictions.is_empty() {
        text += "\nCaptures held out, as predicted\n";
    }
    for prediction in &document.predictions {
        text += &capture_text(&prediction.capture);
        if let (Some(expected_a), Some(surprise)) =
            (prediction.expected_rms_a, prediction.surprise_ratio)
        {
            let said = format!(
                "{} was to be expected from noise and the fitted values: {surprise:.2} times that",
                small_amperes(expected_a)
            );
            text += &folded(&said, "    ");
        }
    }
    if !document.notes.is_empty() {
        text += "\nNoticed\n";
    }
    for note in &document.notes {
        text += &folded(&note.text, "  ");
    }
    text
}

fn answer_words(document: &FitDocument, answer: Answer) -> String {
    let said = match answer {
        Answer::Explained => {
            "EXPLAINED: with these values the regulator gives the captured currents to within their noise"
        }
        Answer::NotExplained => {
            "NOT EXPLAINED: the captured currents differ from the best this regulator can give by more than their noise"
        }
        Answer::NotTold => "NOT TOLD: the captures leave combinations of the free values open",
        Answer::NoiseUnknown => "NO VERDICT: the noise of the captures is not known",
    };
    match document.reduced_chi_square {
        Some(reduced) => format!(
            "{said} (reduced chi-square {reduced:.2}, {} degrees of freedom)",
            document.freedom
        ),
        None => said.to_owned(),
    }
}

fn capture_text(capture: &FitCapturePart) -> String {
    let step = match (capture.step, capture.placement) {
        (Some(step), Some("inside")) => format!(", step {step}"),
        (Some(step), Some(side)) => format!(", step {step} ({side} of its band)"),
        _ => String::new(),
    };
    let noise = capture.noise_rms_a.map_or("unknown".into(), small_amperes);
    let head = format!(
        "{}: {}{step}, load {}, fired at {:.2}°",
        capture.file,
        amperes(capture.held_rms_a),
        ratio_as_percent(capture.load_ratio),
        capture.delay_deg
    );
    let crest = |value: Option<f64>| value.map_or("undefined".into(), |c| format!("{c:.4}"));
    let percent = |value: Option<f64>| value.map_or("undefined".into(), crate::report::percent);
    let body = format!(
        "residual {} RMS ({} of the current), noise {noise}; crest factor {} measured, {} from the \
         model; average meter {} and {}",
        small_amperes(capture.residual_rms_a),
        plain_percent(capture.residual_ratio),
        crest(capture.measured_crest_factor),
        crest(capture.fitted_crest_factor),
        percent(capture.measured_average_error_ratio),
        percent(capture.fitted_average_error_ratio)
    );
    folded(&head, "  ") + &folded(&body, "    ")
}

/// A number with five significant digits, without zeros behind them.
fn significant(value: f64) -> String {
    let short: f64 = format!("{value:.4e}").parse().unwrap_or(value);
    short.to_string()
}

/// A difference of currents with three significant digits.
fn small_amperes(value_a: f64) -> String {
    let short: f64 = format!("{value_a:.2e}").parse().unwrap_or(value_a);
    format!("{short} A")
}

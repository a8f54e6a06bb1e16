use std::fmt::Write;
use std::path::PathBuf;

use clap::Args;

use crate::assess::instrument::{CorrectedDisplay, ShownCurrent, Suitability, Verdict};
use crate::error::{Error, Result};
use crate::report::{
    Document, FitnessDocument, ShownPart, VerdictPart, amperes, bare_amperes, plain_percent,
    ratio_as_exact_percent, to_json,
};
use crate::units::span_decimals;

use super::console::{cautions, folded};
use super::instruments::{FolderArgs, TermsArgs, meters, ready};
use super::outcome::Outcome;
use super::quantities::current;
use super::{figures, regulated, table};

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  loopcrest fitness\n  \
                        loopcrest fitness bench.toml --probability 97.5% --today 2026-11-25\n  \
                        loopcrest fitness --meter general-true-rms-clamp --step 1 --out verdicts")]
pub(super) struct FitnessArgs {
    /// Description file; the invented example when left out
    pub(super) description: Option<PathBuf>,
    /// Meter of the description, or an archetype (may be given several times); all when left out
    #[arg(long, value_name = "METER")]
    pub(super) meter: Vec<String>,
    /// Only this brightness step (may be given several times)
    #[arg(long)]
    pub(super) step: Vec<u32>,
    /// Number on the display at the step named: what current does it mean?
    #[arg(long, value_parser = current, requires = "step")]
    pub(super) shown: Option<f64>,
    /// End with exit code 1 unless every meter judged is fit everywhere, with 6 when one is but its
    /// voltage category is below the loop's voltage
    #[arg(long)]
    pub(super) require: bool,
    #[command(flatten)]
    pub(super) terms: TermsArgs,
    #[command(flatten)]
    pub(super) folder: FolderArgs,
}

/// Real meters against the steps: verdicts, set-bands, reasons.
pub(super) fn run(args: &FitnessArgs, json: bool) -> Result<Outcome> {
    let file = args.description.as_deref();
    let description = regulated::description(file)?;
    let terms = args.terms.terms()?;
    for number in &args.step {
        regulated::nominal_a(&description, Some(*number))?;
    }
    let chosen = meters(&description, file, &args.meter)?;
    let instruments = ready(&chosen, description.frequency_hz, &terms)?;
    let currents = args.terms.currents(&description)?;
    let places: Vec<_> = currents
        .value
        .iter()
        .filter(|place| args.step.is_empty() || args.step.contains(&place.step().number))
        .collect();
    if places.is_empty() {
        return Err(Error::inconsistent("none of these steps has a current"));
    }
    let (mut verdicts, mut shown): (Vec<Verdict>, Vec<_>) = (Vec::new(), Vec::new());
    let shown_a = args.shown.or(args.terms.mean_shown_a().filter(|_| args.step.len() == 1));
    for instrument in &instruments {
        for place in &places {
            verdicts.push(Verdict::new(instrument, place, &terms)?);
            if let Some(shown_a) = shown_a {
                shown.push(ShownCurrent::of(instrument, place, shown_a, &terms)?);
            }
        }
    }
    let (title, invented) = (&description.title, description.is_invented);
    let document = FitnessDocument::new(title, invented, &terms, &verdicts, &currents.notes)
        .with_shown(&shown);
    let text = text(&document);
    let json_text = to_json(&Document::Fitness(Box::new(document)));
    let folder = regulated::write(args.folder.out.as_ref(), args.folder.replace, || {
        let mut files = figures::fitness(&instruments, &places, &terms)?;
        files.push(("fitness.json".into(), json_text.clone().into_bytes()));
        Ok(files)
    })?;
    regulated::show(json, &json_text, &text, folder.as_deref())?;
    let all_fit = verdicts.iter().all(|verdict| verdict.suitability == Suitability::Fit);
    let is_dangerous = verdicts.iter().any(|verdict| verdict.danger().is_some());
    Ok(match (args.require, all_fit, is_dangerous) {
        (true, false, _) => Outcome::VerdictAgainst,
        (true, true, true) => Outcome::Danger,
        _ => Outcome::Done,
    })
}

fn text(document: &FitnessDocument) -> String {
    let asked = format!(
        "May this meter set this step, so that the true current is in its band with {}?",
        ratio_as_exact_percent(document.terms.conformance_probability)
    );
    let mut text =
        regulated::heading(&document.title, document.invented, folded(&asked, "").trim_end());
    for of_meter in document.verdicts.chunk_by(|one, other| one.meter == other.meter) {
        let _ = writeln!(text, "\n{}", of_meter[0].meter);
        text += &dangers(of_meter);
        let rows: Vec<Vec<String>> = of_meter.iter().map(row).collect();
        let header = ["step", "output", "verdict", "must show A", "known to ±", "in band, at best"];
        for line in table::lines(&header, &rows, &[0, 4, 5], 2) {
            let _ = writeln!(text, " {line}");
        }
        text += &meanings(of_meter);
        text += &reasons(of_meter);
        text += &corrected(of_meter);
        let mut said: Vec<&str> = Vec::new();
        for note in of_meter.iter().flat_map(|part| &part.notes) {
            if !said.contains(&note.code) {
                said.push(note.code);
                text += &folded(&format!("noticed: {}", note.text), "  ");
            }
        }
    }
    if !document.notes.is_empty() {
        text += "\nNoticed\n";
        for note in &document.notes {
            text += &folded(&note.text, "  ");
        }
    }
    text += &cautions();
    text
}

/// Where the meter must not be, before anything is said of its numbers.
fn dangers(parts: &[VerdictPart]) -> String {
    let at: Vec<&VerdictPart> = parts.iter().filter(|part| part.danger.is_some()).collect();
    let mut texts: Vec<&str> = at.iter().filter_map(|part| part.danger.as_deref()).collect();
    texts.dedup();
    let Some(connection) = at.first().map(|part| part.connection) else { return String::new() };
    let steps: Vec<String> = at.iter().map(|part| part.step.number.to_string()).collect();
    folded(
        &format!(
            "DANGER, {connection}, step {}: {}. What it shows may be right all the same; the verdicts \
             below are about that alone.",
            steps.join(", "),
            texts.join("; ")
        ),
        "  ",
    )
}

/// What the number on the display that was asked about means.
fn meanings(parts: &[VerdictPart]) -> String {
    let asked = parts.iter().filter_map(|part| part.shown.as_ref().map(|shown| (part, shown)));
    asked.map(|(part, shown)| meaning(part, shown)).collect()
}

fn meaning(part: &VerdictPart, shown: &ShownPart) -> String {
    let warning = if part.corrected.is_empty() {
        String::new()
    } else {
        format!("; this number {}", CorrectedDisplay::WARNING)
    };
    let line = format!(
        "step {}, {}: {} on the display means {} ± {} A true RMS (k = {:.2}); in band with {}{warning}",
        part.step.number,
        part.connection,
        amperes(shown.shown_a),
        bare_amperes(shown.true_rms_a),
        bare_amperes(shown.expanded_uncertainty_a),
        shown.coverage_factor,
        plain_percent(shown.conformance_probability)
    );
    folded(&line, "  ")
}

fn row(part: &VerdictPart) -> Vec<String> {
    let none = || "-".to_owned();
    let is_allowed = part.verdict != Suitability::NotFit.key();
    vec![
        part.step.number.to_string(),
        part.connection.to_owned(),
        match &part.danger {
            Some(_) => format!("{}, DANGER", part.verdict.replace('-', " ")),
            None => part.verdict.replace('-', " "),
        },
        part.set_band.as_ref().filter(|_| is_allowed).map_or_else(none, |set_band| {
            let (low, high) = span_decimals(set_band.low_a, set_band.high_a);
            format!("{low} to {high}")
        }),
        part.dead_centre
            .as_ref()
            .map_or_else(none, |centre| amperes(centre.expanded_uncertainty_a)),
        part.dead_centre
            .as_ref()
            .map_or_else(none, |centre| plain_percent(centre.conformance_probability)),
    ]
}

/// Each reason once, with the steps it is for.
fn reasons(parts: &[VerdictPart]) -> String {
    let mut text = String::new();
    for part in parts {
        for reason in &part.reasons {
            let place = format!("step {}, {}: ", part.step.number, part.connection);
            text += &folded(&format!("{place}{reason}"), "  ");
        }
    }
    text
}

/// What a meter that does not measure true RMS shows, always with the warning.
fn corrected(parts: &[VerdictPart]) -> String {
    let mut text = String::new();
    for part in parts {
        let mut sorted: Vec<_> = part.corrected.iter().collect();
        sorted.sort_by(|one, other| one.nominal_shown_a.total_cmp(&other.nominal_shown_a));
        let (Some(low), Some(high)) = (sorted.first(), sorted.last()) else { continue };
        let number = part.step.number;
        let line = if sorted.len() == 1 {
            let shown = amperes(low.nominal_shown_a);
            format!("step {number}, {}: shows {shown} at the nominal of this waveform", low.origin)
        } else {
            format!(
                "step {number}, {}: of {} possible waveforms at the nominal it shows from {} ({}) to \
                 {} ({})",
                part.connection,
                sorted.len(),
                amperes(low.nominal_shown_a),
                low.origin,
                amperes(high.nominal_shown_a),
                high.origin
            )
        };
        text += &folded(&line, "  ");
    }
    if !text.is_empty() {
        text += &folded(&format!("Each of these numbers {}.", CorrectedDisplay::WARNING), "  ");
    }
    text
}

use std::fmt::Write;
use std::path::PathBuf;

use clap::Args;

use crate::error::{Error, Result};
use crate::report::{
    Document, MeterSeenPart, SituationDocument, SituationPairDocument, SituationPart, amperes,
    bare_amperes, bare_percent, plain_number, plain_percent, signed_amperes, to_json, volts, watts,
};
use crate::situation::{Situation, SituationSolver};

use super::console::{cautions, folded, print};
use super::outcome::Outcome;
use super::{regulated, table};

/// A bench with these choices; whatever is not chosen is as the description says.
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  loopcrest situation\n  \
                        loopcrest situation --step 1 --load shorted --meter average,true-rms\n  \
                        loopcrest situation bench.toml --load 60% --lamps-out 10% --json\n  \
                        loopcrest situation --step 1 --load shorted --against load=full\n\n\
                        Exit code 1 when the regulator cannot hold the step's nominal here.")]
pub(super) struct SituationArgs {
    /// Description file with a [regulator]; the invented example when left out
    description: Option<PathBuf>,
    /// Brightness step, or "brightest"
    #[arg(long)]
    step: Option<String>,
    /// What is connected: as-set, shorted, full, field, or a share such as 60%
    #[arg(long)]
    load: Option<String>,
    /// Share of the lamps that are out, such as 10%, or "as-counted"
    #[arg(long, value_name = "SHARE")]
    lamps_out: Option<String>,
    /// Meters, separated by commas: of the description, kinds of meter, or detector laws; or none
    #[arg(long)]
    meter: Option<String>,
    /// What the control senses: true-rms or average
    #[arg(long)]
    sense: Option<String>,
    /// Supply voltage as a share of the rated
    #[arg(long, value_name = "SHARE")]
    supply_voltage: Option<String>,
    /// Supply frequency as a share of the rated
    #[arg(long, value_name = "SHARE")]
    supply_frequency: Option<String>,
    /// Set it beside a second situation, the same but for this choice (may be given several times)
    #[arg(long, value_name = "KEY=VALUE")]
    against: Vec<String>,
}

pub(super) fn run(args: &SituationArgs, json: bool) -> Result<Outcome> {
    let description = regulated::description(args.description.as_deref())?;
    let choices = [
        ("step", &args.step),
        ("load", &args.load),
        ("lamps-out", &args.lamps_out),
        ("meter", &args.meter),
        ("sense", &args.sense),
        ("supply-voltage", &args.supply_voltage),
        ("supply-frequency", &args.supply_frequency),
    ];
    let mut situation = Situation::default();
    for (key, value) in choices {
        if let Some(value) = value {
            situation.set(key, value)?;
        }
    }
    let mut solver = SituationSolver::new(description);
    let seen = solver.seen(&situation)?;
    if !args.against.is_empty() {
        let other = changed(&situation, &args.against)?;
        // A solver of its own: what is seen must not depend on what was looked at before.
        let other = SituationSolver::new(solver.description().clone()).seen(&other)?;
        let document = SituationPairDocument::new(solver.description(), &seen, &other);
        let text = pair_text(&document);
        let json_text = to_json(&Document::SituationPair(Box::new(document)));
        print(if json { &json_text } else { &text })?;
        let are_held = seen.is_held() && other.is_held();
        return Ok(if are_held { Outcome::Done } else { Outcome::VerdictAgainst });
    }
    let document = SituationDocument::new(solver.description(), &seen);
    let text = text(&document);
    let json_text = to_json(&Document::Situation(Box::new(document)));
    print(if json { &json_text } else { &text })?;
    Ok(if seen.is_held() { Outcome::Done } else { Outcome::VerdictAgainst })
}

/// The same situation with other choices.
fn changed(situation: &Situation, choices: &[String]) -> Result<Situation> {
    let mut changed = situation.clone();
    for choice in choices {
        let (key, value) = choice.split_once('=').ok_or_else(|| {
            Error::malformed("a key and a value such as load=full", format!("\"{choice}\""))
                .with_context("--against")
        })?;
        changed.set(key.trim(), value).map_err(|error| error.with_context("--against"))?;
    }
    Ok(changed)
}

fn text(document: &SituationDocument) -> String {
    let mut text = seen_text(&document.title, &document.situation);
    text += &cautions();
    text
}

fn pair_text(document: &SituationPairDocument) -> String {
    let mut text = seen_text(&document.title, &document.one);
    text += "\nAGAINST\n\n";
    text += &seen_text(&document.title, &document.other);
    let differences = &document.differences;
    let or_none = |value: Option<f64>, shown: fn(f64) -> String| value.map_or("-".into(), shown);
    let crest = |value| format!("{value:+.3}");
    text += "\nThe second minus the first\n";
    let _ = writeln!(
        text,
        "  true RMS {} A, crest factor {}, output {:+.1} V, {:+.0} VA",
        signed_amperes(differences.rms_a),
        or_none(differences.crest_factor, crest),
        differences.output_rms_v,
        differences.output_apparent_va
    );
    let rows: Vec<Vec<String>> = differences
        .meters
        .iter()
        .map(|meter| {
            let verdict = if meter.same_verdict { "the same" } else { "ANOTHER" };
            vec![
                meter.name.clone(),
                or_none(meter.shown_a, signed_amperes),
                or_none(meter.error_ratio, bare_percent),
                verdict.to_owned(),
            ]
        })
        .collect();
    let header = ["meter", "shows A", "error %", "verdict"];
    for line in table::lines(&header, &rows, &[1, 2], 0) {
        let _ = writeln!(text, " {line}");
    }
    text += &cautions();
    text
}

fn seen_text(title: &str, seen: &SituationPart) -> String {
    let mut text = regulated::heading(title, seen.invented, &seen.regulator);
    let step = &seen.step;
    let _ = writeln!(
        text,
        "Step {}, nominal {:.2} A, band {:.2} to {:.2} A",
        step.number, step.nominal_rms_a, step.band_low_a, step.band_high_a
    );
    if let (Some(limit), Some(limit_a)) = (seen.limit, seen.limit_a) {
        let _ = writeln!(
            text,
            "OUT OF REACH: the {limit} current that can be held is {}, shown here",
            amperes(limit_a)
        );
    }
    let measures = &seen.measures;
    let _ = writeln!(
        text,
        "\n  true RMS {}, peak {}, crest factor {}, THD {}",
        amperes(measures.rms_a),
        amperes(measures.peak_a),
        measures.crest_factor.map_or("undefined".into(), |crest| format!("{crest:.3}")),
        measures.thd_ratio.map_or("undefined".into(), plain_percent)
    );
    let _ = writeln!(
        text,
        "  output {} RMS, {} peak, {}, {} of the rating\n",
        volts(seen.output_rms_v),
        volts(seen.output_peak_v),
        watts(seen.output_apparent_va, "VA"),
        plain_percent(seen.share_of_rating_ratio)
    );
    for meter in &seen.meters {
        if let Some(danger) = &meter.danger {
            let line = format!(
                "DANGER, {}: {danger}. What it shows may be right all the same; the verdict below is about \
                 that alone.",
                meter.name
            );
            text += &folded(&line, "  ");
        }
    }
    let rows: Vec<Vec<String>> = seen.meters.iter().map(row).collect();
    let header = ["meter", "shows A", "error A", "%", "must show A", "verdict"];
    for line in table::lines(&header, &rows, &[1, 2, 3, 4], 0) {
        let _ = writeln!(text, " {line}");
    }
    for meter in &seen.meters {
        text += &folded(&format!("{}: {}", meter.name, meter.reason), "  ");
    }
    if !seen.notes.is_empty() {
        text += "\nNoticed\n";
        for note in &seen.notes {
            text += &folded(&note.text, "  ");
        }
    }
    text
}

fn row(meter: &MeterSeenPart) -> Vec<String> {
    let must_show = match (meter.must_show_low_a, meter.must_show_high_a) {
        (Some(low_a), Some(high_a)) => {
            // A set-band of a data sheet has the digits of its display.
            let shown = if meter.instrument.is_some() { plain_number } else { bare_amperes };
            format!("{} to {}", shown(low_a), shown(high_a))
        }
        _ => "-".into(),
    };
    vec![
        meter.name.clone(),
        meter.shown_a.map_or("overload".into(), bare_amperes),
        meter.error_a.map_or("-".into(), signed_amperes),
        meter.error_ratio.map_or("-".into(), bare_percent),
        must_show,
        match meter.danger {
            Some(_) => format!("{}, DANGER", meter.verdict),
            None => meter.verdict.to_owned(),
        },
    ]
}

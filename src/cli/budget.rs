use std::fmt::Write;
use std::path::PathBuf;

use clap::Args;

use crate::assess::instrument::{CorrectedReading, ReadingDecision};
use crate::error::{Error, Result};
use crate::report::{BudgetDocument, Document, amperes, plain_percent, to_json};
use crate::uncertainty::MonteCarlo;

use super::console::cautions;
use super::instruments::{PlaceArgs, TermsArgs, one_meter, ready};
use super::outcome::Outcome;
use super::quantities::{current, ratio};
use super::{decision, regulated, table};

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  loopcrest budget --repeats 6.58,6.60,6.59 --step 5\n  \
                        loopcrest budget --meter general-true-rms-clamp --step 1\n  \
                        loopcrest budget --meter precision-true-rms-clamp --loaded --shown 6.6A")]
pub(super) struct BudgetArgs {
    /// Description file; the invented example when left out
    pub(super) description: Option<PathBuf>,
    /// Meter of the description, or an archetype (see `loopcrest meters`); the first meter of the
    /// description with a data sheet when left out
    #[arg(long, value_name = "METER")]
    pub(super) meter: Option<String>,
    #[command(flatten)]
    pub(super) place: PlaceArgs,
    /// Number on the display; the mean of --repeats, or the nominal, when left out
    #[arg(long, value_parser = current)]
    pub(super) shown: Option<f64>,
    /// Scatter (standard deviation) of the currents that come before the meter, as a share of the
    /// nominal: the prior of the global risks; a quarter of the band when left out
    #[arg(long, value_name = "SHARE", value_parser = ratio)]
    pub(super) prior: Option<f64>,
    /// Seed of the trials
    #[arg(long, default_value_t = 1)]
    pub(super) seed: u64,
    #[command(flatten)]
    pub(super) terms: TermsArgs,
}

/// The uncertainty budget of one reading, with trials beside it.
pub(super) fn run(args: &BudgetArgs, json: bool) -> Result<Outcome> {
    let description = regulated::description(args.description.as_deref())?;
    let terms = args.terms.terms()?;
    let file = args.description.as_deref();
    let meter = one_meter(&description, file, args.meter.as_deref())?;
    let instruments = ready(std::slice::from_ref(&meter), description.frequency_hz, &terms)?;
    let all = args.terms.currents(&description)?;
    let currents = args.place.currents(&description, &all.value)?;
    let signals = currents.signals();
    let readings = instruments[0].read_all(&signals)?;
    let frequency_hz = signals[0].waveform().frequency_hz();
    let sheet = instruments[0].sheet();
    let corrected = CorrectedReading::new(sheet, &readings, frequency_hz, &terms)
        .ok_or_else(|| Error::inconsistent("this meter shows nothing of this current"))?;
    let nominal_a = currents.step().nominal.a();
    let shown_a = args.shown.or(args.terms.mean_shown_a()).unwrap_or(nominal_a);
    let decision = ReadingDecision::new(&corrected, currents.step(), shown_a, args.prior)?;
    let budget = corrected.budget(shown_a)?;
    let monte_carlo = MonteCarlo {
        seed: args.seed,
        coverage_probability: terms.conformance_probability,
        ..MonteCarlo::default()
    };
    let run = corrected.trials(shown_a, &monte_carlo)?;
    let document = BudgetDocument::new(
        &description.title,
        description.is_invented,
        &terms,
        &meter.name,
        currents,
        &decision,
        &budget,
        &run,
        args.seed,
    )?;
    let text = text(&document);
    regulated::show(json, &to_json(&Document::Budget(Box::new(document))), &text, None)?;
    Ok(Outcome::Done)
}

fn text(document: &BudgetDocument) -> String {
    let place = format!(
        "{}, step {}, output {}, display shows {}",
        document.meter,
        document.step.number,
        document.connection,
        amperes(document.shown_a)
    );
    let mut text = regulated::heading(&document.title, document.invented, &place);
    text.push('\n');
    let rows: Vec<Vec<String>> = document
        .rows
        .iter()
        .map(|row| {
            vec![
                row.quantity.clone(),
                format!("{:.4}", row.value),
                format!("{:.5}", row.standard_uncertainty),
                row.evaluation.to_owned(),
                row.distribution.to_owned(),
                row.degrees_of_freedom.map_or("∞".into(), |freedom| format!("{freedom:.0}")),
                format!("{:.3}", row.sensitivity),
                format!("{:.5}", row.contribution_a),
                row.share_ratio.map_or("-".into(), plain_percent),
            ]
        })
        .collect();
    let header = ["quantity", "estimate", "u", "", "law", "ν", "c", "c·u A", "share"];
    for line in table::lines(&header, &rows, &[1, 2, 5, 6, 7, 8], 0) {
        let _ = writeln!(text, "{line}");
    }
    let trials = &document.trials;
    let _ = writeln!(
        text,
        "\n  true RMS {:.4} A, u = {:.4} A, effective degrees of freedom {}",
        document.value_a,
        document.combined_a,
        document
            .effective_degrees_of_freedom
            .map_or("∞".into(), |freedom| format!("{freedom:.0}"))
    );
    let _ = writeln!(
        text,
        "  U = {:.4} A at {}, k = {:.3} ({})",
        document.expanded_a,
        plain_percent(document.terms.conformance_probability),
        document.coverage_factor,
        document.coverage_basis
    );
    let _ = writeln!(
        text,
        "\n  by {} trials: {:.4} A, u = {:.4} A, {:.4} to {:.4} A (±{:.4} A)",
        trials.trials,
        trials.mean_a,
        trials.standard_uncertainty_a,
        trials.low_a,
        trials.high_a,
        trials.half_width_a
    );
    let agreement = if trials.validates { "agree" } else { "differ: trust the trials" };
    let _ = writeln!(
        text,
        "  both {agreement}: ends {:.5} A apart, tolerance {:.5} A",
        trials.difference_a, trials.tolerance_a
    );
    text + &decision::text(&document.decision, &document.step) + &cautions()
}

use std::fmt::Write;
use std::path::{Path, PathBuf};

use clap::Args;
use jiff::Span;
use jiff::civil::Date;

use crate::cli::console::{cautions, folded};
use crate::cli::instruments::{FolderArgs, day};
use crate::cli::logbook_args::LogbookArgs;
use crate::cli::outcome::Outcome;
use crate::cli::quantities::{interval, ratio};
use crate::cli::{figures, regulated, table};
use crate::description::Description;
use crate::error::{Error, Result};
use crate::logbook::{Clock, Logbook};
use crate::procedure::entry::{Output, RegulatorCard};
use crate::procedure::history::StepHistory;
use crate::report::{
    Document, HistoryDocument, StepHistoryPart, bare_amperes, bare_milliamperes, to_json,
};

/// How a due day is found.
#[derive(Debug, Args)]
pub(super) struct DueTerms {
    /// Interval between visits, such as "6 months": a yearly one is common, from memory
    #[arg(long, value_name = "TIME", value_parser = interval, default_value = "1 year")]
    pub(super) interval: Span,
    /// Probability with which the true current must lie in its band
    #[arg(long, value_parser = ratio, default_value = "95%")]
    pub(super) probability: f64,
    /// The day it is looked at; today when left out
    #[arg(long, value_name = "DAY", value_parser = day)]
    pub(super) today: Option<Date>,
}

impl DueTerms {
    pub(super) fn today(&self) -> Result<Date> {
        match self.today {
            Some(today) => Ok(today),
            None => Ok(Clock::from_environment()?.today()),
        }
    }
}

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  loopcrest logbook history R-07\n  \
                        loopcrest logbook history R-07 --step 5 --out drift")]
pub(super) struct HistoryArgs {
    /// The regulator, by its name
    regulator: String,
    /// Only this brightness step (may be given several times)
    #[arg(long)]
    step: Vec<u32>,
    #[command(flatten)]
    due: DueTerms,
    #[command(flatten)]
    logbook: LogbookArgs,
    #[command(flatten)]
    folder: FolderArgs,
}

/// How the steps of a regulator drift, and when it is due.
pub(super) fn run(args: &HistoryArgs, json: bool) -> Result<Outcome> {
    let logbook = args.logbook.read()?;
    let card = logbook.regulator(&args.regulator)?.ok_or_else(|| unknown(&logbook, args))?.card;
    if let Some(misfit) = logbook.misfit_of_regulator(&card.name)? {
        return Err(Logbook::refused(&misfit).in_file(logbook.path()));
    }
    let all = steps(&card)?;
    if let Some(missing) = args.step.iter().find(|step| !all.contains(step)) {
        return Err(Error::inconsistent(format!("{} has no step {missing}", card.name)));
    }
    let wanted = if args.step.is_empty() { all.clone() } else { args.step.clone() };
    let mut histories: Vec<StepHistory> = Vec::new();
    for step in &wanted {
        for output in [Output::Shorted, Output::Field] {
            histories.extend(logbook.step_history(&card.name, *step, output)?);
        }
    }
    let terms = &args.due;
    let due = logbook.due_day(&card.name, &all, terms.interval, terms.probability)?;
    let document =
        HistoryDocument::new(&card.name, &histories, &due, terms.today()?, terms.probability)?;
    let text = text(&document);
    let json_text = to_json(&Document::History(Box::new(document)));
    let folder: Option<PathBuf> =
        regulated::write(args.folder.out.as_ref(), args.folder.replace, || {
            let mut files = Vec::new();
            for history in &histories {
                files.extend(figures::drift(history, &card.name, terms.probability)?);
            }
            files.push(("history.json".into(), json_text.clone().into_bytes()));
            Ok(files)
        })?;
    regulated::show(json, &json_text, &text, folder.as_deref())?;
    Ok(Outcome::Done)
}

/// The numbers of a regulator's steps.
pub(super) fn steps(card: &RegulatorCard) -> Result<Vec<u32>> {
    let description = Description::parse(&card.description, Path::new(""))
        .map_err(|error| error.with_context(format!("the description of {}", card.name)))?;
    Ok(description.steps.steps().iter().map(|step| step.number).collect())
}

fn unknown(logbook: &Logbook, args: &HistoryArgs) -> Error {
    Error::inconsistent(format!(
        "{} knows no regulator {}",
        logbook.path().display(),
        args.regulator
    ))
    .with_hint("`loopcrest logbook equipment` lists those it knows")
}

fn text(document: &HistoryDocument) -> String {
    let mut text = folded(&format!("{}: {}", document.regulator, document.due.words), "");
    text.push('\n');
    if document.steps.is_empty() {
        return text + "  no reading was judged yet\n";
    }
    let header =
        ["step", "output", "readings", "last A", "drift mA/a", "U", "leaves band", "doubtful"];
    let rows: Vec<Vec<String>> = document.steps.iter().map(row).collect();
    for line in table::lines(&header, &rows, &[0, 2, 3, 4, 5], 0) {
        let _ = writeln!(text, " {line}");
    }
    text.push('\n');
    text += &folded(
        "Drift: of the true current, one steady slope through the levels between settings, with its \
         expanded uncertainty; \"*\" where it is told from none. Leaves band: best estimate. Doubtful: \
         from then on the current lies in its band with less than the probability asked for. \"-\": not \
         within 20 years, or no drift is known yet, because no level was read twice.",
        "",
    );
    text + &cautions()
}

fn row(part: &StepHistoryPart) -> Vec<String> {
    let dash = || "-".to_owned();
    let told = if part.is_drifting == Some(true) { "*" } else { "" };
    vec![
        part.step.to_string(),
        part.output.to_owned(),
        part.readings.len().to_string(),
        part.readings.last().map_or_else(dash, |last| bare_amperes(last.true_rms_a)),
        part.drift_a_per_year
            .map_or_else(dash, |drift| format!("{}{told}", bare_milliamperes(drift))),
        part.drift_expanded_a_per_year.map_or_else(dash, bare_milliamperes),
        if part.is_outside_now {
            "outside now".into()
        } else {
            part.leaves_on.clone().unwrap_or_else(dash)
        },
        if part.is_doubtful_now {
            "now".into()
        } else {
            part.doubtful_on.clone().unwrap_or_else(dash)
        },
    ]
}

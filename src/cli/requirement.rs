use std::fmt::Write;
use std::path::PathBuf;

use clap::Args;

use crate::assess::instrument::Requirement;
use crate::error::Result;
use crate::report::{Document, RequirementDocument, plain_percent, to_json};

use super::console::{cautions, folded};
use super::instruments::TermsArgs;
use super::outcome::Outcome;
use super::regulated;

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  loopcrest requirement\n  \
                        loopcrest requirement bench.toml --probability 97.5%")]
pub(super) struct RequirementArgs {
    /// Description file; the invented example when left out
    pub(super) description: Option<PathBuf>,
    #[command(flatten)]
    pub(super) terms: TermsArgs,
}

/// The least demanding data sheet that is fit at every step.
pub(super) fn run(args: &RequirementArgs, json: bool) -> Result<Outcome> {
    let description = regulated::description(args.description.as_deref())?;
    let terms = args.terms.terms()?;
    let currents = args.terms.currents(&description)?;
    let requirement = Requirement::new(&currents.value, &terms)?;
    let (title, invented) = (&description.title, description.is_invented);
    let document = RequirementDocument::new(title, invented, &terms, &requirement, &currents.notes);
    let text = text(&document);
    regulated::show(json, &to_json(&Document::Requirement(Box::new(document))), &text, None)?;
    Ok(Outcome::Done)
}

fn text(document: &RequirementDocument) -> String {
    let asked = format!(
        "The least demanding meter that is fit at every step, true current in its band with {}",
        plain_percent(document.terms.conformance_probability)
    );
    let mut text =
        regulated::heading(&document.title, document.invented, folded(&asked, "").trim_end());
    text.push('\n');
    for (index, demand) in document.demands.iter().enumerate() {
        let item = folded(demand, "     ");
        let _ = write!(text, "{:>3}. {}", index.saturating_add(1), item.trim_start());
    }
    text += "\nWhat such a meter must then show\n";
    for verdict in &document.verdicts {
        let place = format!("step {}, {}: ", verdict.step.number, verdict.connection);
        text += &folded(&(place + &verdict.sentence), "  ");
    }
    if !document.notes.is_empty() {
        text += "\nNoticed\n";
        for note in &document.notes {
            text += &folded(&note.text, "  ");
        }
    }
    text + &cautions()
}

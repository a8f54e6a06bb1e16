use std::fmt::Write;
use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};

use crate::assess::{BurningHours, Consequences, FoundCurrent};
use crate::description::Description;
use crate::error::{Error, Result};
use crate::lamp::LifeChange;
use crate::procedure::FoundCurrents;
use crate::procedure::entry::{Moment, Output};
use crate::report::{
    ConsequencePart, ConsequencesDocument, Document, FoundAtPart, amperes, bare_amperes, life,
    light, ratio_as_percent, to_json,
};
use crate::waveform::TrueRms;

use super::console::{cautions, folded};
use super::logbook_args::LogbookArgs;
use super::outcome::Outcome;
use super::quantities::{OfStep, hours};
use super::{regulated, table};

#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  loopcrest consequences --found 5:6.72A --hours 5:400 --hours 4:900\n  \
                        loopcrest consequences --found 5:6.72A --uncertainty 0.05A \\\n      --hours 5:400 --rated-life 1000\n  \
                        loopcrest consequences --visit 1 --hours 5:400 --hours 4:900\n  \
                        loopcrest consequences --visit 1 --moment as-found --output shorted --hours 5:400\n\n\
                        With --visit the currents are those the visit's readings were judged to mean, \
                        with their\nuncertainty, and the description is the one it was opened with."
)]
pub(super) struct ConsequencesArgs {
    /// Description file; the invented example when left out
    #[arg(conflicts_with = "visit")]
    pub(super) description: Option<PathBuf>,
    /// Number of a visit of the logbook: the currents read then
    #[arg(long, value_name = "NUMBER", conflicts_with_all = ["found", "uncertainty"])]
    visit: Option<u64>,
    /// Which readings of that visit
    #[arg(long, value_enum, default_value_t, requires = "visit")]
    moment: MomentArg,
    /// With which output; the field where it was read so, else shorted, when left out
    #[arg(long, value_enum, requires = "visit")]
    output: Option<OutputArg>,
    #[command(flatten)]
    logbook: LogbookArgs,
    /// True RMS current found at a step, such as 5:6.72A (may be given several times)
    #[arg(long, value_name = "STEP:CURRENT", value_parser = OfStep::current, required_unless_present = "visit")]
    found: Vec<OfStep>,
    /// Expanded uncertainty of the currents found
    #[arg(long, value_name = "CURRENT", value_parser = super::quantities::current, default_value = "0 A")]
    uncertainty: f64,
    /// Hours a year a step burns, such as 5:400 (may be given several times)
    #[arg(long, value_name = "STEP:HOURS", value_parser = OfStep::hours)]
    hours: Vec<OfStep>,
    /// Life of a lamp at its rated current, in hours
    #[arg(long, value_name = "HOURS", value_parser = hours)]
    rated_life: Option<f64>,
}

#[derive(Clone, Copy, Debug, Default, ValueEnum)]
enum MomentArg {
    /// Before anything was adjusted
    #[default]
    AsFound,
    /// As they were left
    AsLeft,
}

impl MomentArg {
    fn moment(self) -> Moment {
        match self {
            Self::AsFound => Moment::AsFound,
            Self::AsLeft => Moment::AsLeft,
        }
    }
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum OutputArg {
    /// The output shorted
    Shorted,
    /// The field connected
    Field,
}

impl OutputArg {
    fn output(self) -> Output {
        match self {
            Self::Shorted => Output::Shorted,
            Self::Field => Output::Field,
        }
    }
}

/// What currents found at the steps meant for light and lamps.
pub(super) fn run(args: &ConsequencesArgs, json: bool) -> Result<Outcome> {
    let (description, found, visit) = match args.visit {
        None => {
            let description = regulated::description(args.description.as_deref())?;
            let found = typed(args, &description)?;
            (description, found, None)
        }
        Some(number) => {
            let visit = args.logbook.read()?.visit(number)?;
            let text = &visit.opening().description;
            let description = Description::parse(text, Path::new(""))
                .map_err(|error| error.with_context(format!("description of visit {number}")))?;
            let (moment, output) = (args.moment.moment(), args.output.map(OutputArg::output));
            let found = FoundCurrents::of(&visit, &description.steps, moment, output)?;
            let part = FoundAtPart::new(&visit, &found);
            (description, found.currents, Some(part))
        }
    };
    for OfStep { step, .. } in &args.hours {
        regulated::nominal_a(&description, Some(*step))?;
    }
    let hours = BurningHours::new(args.hours.iter().map(|of| (of.step, of.value)).collect())
        .map_err(|error| error.with_context("--hours"))?;
    let rated = description.rated();
    let year = Consequences::of(found, &description.lamp, rated, &hours, args.rated_life)?;
    let document = ConsequencesDocument::new(&description, &year, args.rated_life);
    let document = match visit {
        Some(visit) => document.with_visit(visit),
        None => document,
    };
    let text = text(&document, &year);
    let json_text = to_json(&Document::Consequences(Box::new(document)));
    regulated::show(json, &json_text, &text, None)?;
    Ok(Outcome::Done)
}

/// The currents of the command line.
fn typed(args: &ConsequencesArgs, description: &Description) -> Result<Vec<FoundCurrent>> {
    let mut found = Vec::with_capacity(args.found.len());
    for (place, OfStep { step, value }) in args.found.iter().enumerate() {
        regulated::nominal_a(description, Some(*step))?; // complains of a step that is not in the table
        if args.found[..place].iter().any(|earlier| earlier.step == *step) {
            return Err(Error::inconsistent(format!("--found gives step {step} twice")));
        }
        let step = description.steps.step(*step).expect("the step is in the table").clone();
        let true_rms = TrueRms::stated_a(*value);
        found.push(FoundCurrent { step, true_rms, expanded_a: args.uncertainty });
    }
    Ok(found)
}

/// Which readings these are, and what is not among them.
fn visit_words(part: &FoundAtPart) -> String {
    let mut words = format!(
        "Visit {} to {} of {} with {}, {}, {}.",
        part.visit,
        part.regulator,
        part.day,
        part.meter,
        part.moment.replace('-', " "),
        if part.output == Output::Field.key() {
            Output::Field.words()
        } else {
            Output::Shorted.words()
        },
    );
    if !part.unknown_steps.is_empty() {
        let steps: Vec<String> = part.unknown_steps.iter().map(u32::to_string).collect();
        words += &format!(" No true current is known of step {}.", steps.join(", "));
    }
    words
}

fn text(document: &ConsequencesDocument, year: &Consequences) -> String {
    let law = format!(
        "Against each step's nominal: light goes as the current to the power {:.2}, life as {:.1} ({}).",
        document.light_exponent, document.life_exponent, document.law_source
    );
    let mut text =
        regulated::heading(&document.title, document.invented, folded(&law, "").trim_end());
    if let Some(visit) = &document.visit {
        text += &folded(&visit_words(visit), "");
    }
    text.push('\n');
    let rows: Vec<Vec<String>> = document
        .steps
        .iter()
        .zip(&year.steps)
        .map(|(part, step)| row(part, step.effect.life))
        .collect();
    let header = ["step", "nominal A", "found A", "U A", "band", "light", "lamp life", "h a year"];
    for line in table::lines(&header, &rows, &[0, 1, 2, 3, 7], 0) {
        let _ = writeln!(text, "{line}");
    }
    text.push('\n');
    text += &folded(&summary(document), "");
    text += "\nLimits\n";
    for limit in &document.limits {
        text += &folded(limit, "  ");
    }
    text += &cautions();
    text
}

fn row(part: &ConsequencePart, change: LifeChange) -> Vec<String> {
    let range =
        |low: Option<f64>, high: Option<f64>, words: &dyn Fn(f64) -> String| match (low, high) {
            (Some(low), Some(high)) if part.expanded_uncertainty_a > 0.0 => {
                format!(" ({} to {})", words(low), words(high))
            }
            _ => String::new(),
        };
    let times = |ratio: f64| format!("{ratio:.2}");
    vec![
        part.step.to_string(),
        bare_amperes(part.nominal_rms_a),
        bare_amperes(part.found_rms_a),
        if part.expanded_uncertainty_a > 0.0 {
            bare_amperes(part.expanded_uncertainty_a)
        } else {
            "-".into()
        },
        part.placement.to_owned(),
        light(part.light_ratio, part.light_credible)
            + &range(part.light_low_ratio, part.light_high_ratio, &ratio_as_percent),
        life(change) + &range(part.life_shortest_ratio, part.life_longest_ratio, &times),
        format!("{:.0}", part.hours),
    ]
}

fn summary(document: &ConsequencesDocument) -> String {
    let mut said = match document.wear_ratio {
        None => {
            "How much faster or slower lamps are used up cannot be said: give --hours for a step \
                 near the lamps' rated current"
                .to_owned()
        }
        Some(wear) => format!(
            "Over a year of these hours lamps are used up {} as fast as at the nominals",
            ratio_as_percent(wear)
        ),
    };
    if let (Some(nominal), Some(found), Some(life_h)) = (
        document.lamps_per_hundred_nominal,
        document.lamps_per_hundred_found,
        document.rated_life_h,
    ) {
        let _ = write!(
            said,
            ": of a hundred lamps of {life_h:.0} h, {found:.0} a year instead of {nominal:.0}"
        );
    }
    said += ".";
    if let [_, ..] = document.silent_steps.as_slice() {
        let steps: Vec<String> = document.silent_steps.iter().map(u32::to_string).collect();
        let _ = write!(
            said,
            " Not counted, because the law says no number there: step {}.",
            steps.join(", ")
        );
    }
    let _ = write!(said, " Rated current of the lamps: {}.", amperes(document.lamp_rated_rms_a));
    said
}

use std::fmt::Write;
use std::path::{Path, PathBuf};

use crate::assess::{Fitness, Judgement, Recheck, StepResult, Survey};
use crate::circuit::SenseLaw;
use crate::description::{Description, RegulatorSetup, nearest};
use crate::error::{Error, Note, Result};
use crate::report::{
    CAUTIONS, Document, Existing, LIMITS, OutputFolder, SurveyDocument, bare_amperes, life, light,
    percent, placement, ratio_as_percent, to_json,
};

use super::args::JudgeArgs;
use super::console::{folded, print};
use super::figures;
use super::outcome::Outcome;
use super::table;

/// The main job: description, current at every step, every meter's verdict, plots and numbers.
pub(super) fn run(args: &JudgeArgs, json: bool) -> Result<Outcome> {
    let description = match &args.description {
        Some(file) => Description::read(file)?,
        None => Description::embedded(),
    };
    let required = required(&description, &args.require)?;
    let noted = description.cases().map_err(|error| match &args.description {
        Some(file) => error.with_context(file.display().to_string()),
        None => error,
    })?;
    let (cases, mut notes) = (noted.value, noted.notes);
    let survey = description.survey(&cases)?;
    let recheck = description.recheck(&survey)?.map(|noted| {
        notes.extend(noted.notes);
        noted.value
    });
    let document = SurveyDocument::new(&description, &survey, recheck.as_ref(), &notes);
    let json_text = to_json(&Document::Survey(Box::new(document)));

    // With --json a folder is written only when one is named.
    let wants_folder = !args.no_folder && (!json || args.out.is_some());
    let folder = if wants_folder {
        let folder = begin(args)?;
        folder.add("survey.json", json_text.as_bytes())?;
        folder.add(
            "description.toml",
            match &args.description {
                Some(file) => Description::text_of(file)?,
                None => Description::EMBEDDED_TEXT.to_owned(),
            }
            .as_bytes(),
        )?;
        for (name, bytes) in figures::draw(&cases, &survey)? {
            folder.add(&name, &bytes)?;
        }
        Some(folder.finish()?)
    } else {
        None
    };
    if json {
        print(&json_text)?;
    } else {
        let mut lines = text(&description, &survey, &notes, folder.as_deref());
        if let (Some(recheck), Some(setup)) = (&recheck, &description.regulator) {
            lines.insert_str(lines.find("In short").unwrap_or(0), &rechecked(recheck, setup));
        }
        print(&lines)?;
    }
    let against = required.iter().any(|meter| !survey.fit_everywhere(*meter));
    Ok(if against { Outcome::VerdictAgainst } else { Outcome::Done })
}

fn begin(args: &JudgeArgs) -> Result<OutputFolder> {
    match &args.out {
        Some(target) => {
            let existing = if args.replace { Existing::Replace } else { Existing::Keep };
            OutputFolder::begin(target, existing)
        }
        None => OutputFolder::begin_numbered(&PathBuf::from("."), "loopcrest-run"),
    }
}

/// The places of the required meters in the description.
fn required(description: &Description, names: &[String]) -> Result<Vec<usize>> {
    let known = || description.meters.iter().map(|meter| meter.name.as_str());
    let place = |name: &String| {
        known().position(|known| known == name).ok_or_else(|| {
            let list: Vec<_> = known().map(|known| format!("\"{known}\"")).collect();
            let error = Error::malformed(
                format!("one of the meters {}", list.join(", ")),
                format!("--require \"{name}\""),
            );
            match nearest(name, known()) {
                Some(near) => error.with_hint(format!("did you mean \"{near}\"?")),
                None => error,
            }
        })
    };
    names.iter().map(place).collect()
}

fn text(
    description: &Description,
    survey: &Survey,
    notes: &[Note],
    folder: Option<&Path>,
) -> String {
    let mut text = String::new();
    let invented = if description.is_invented { "   (invented example)" } else { "" };
    let _ = writeln!(text, "{}{invented}", description.title);
    text += &folded(&format!("Steps {}.", description.steps.name()), "");
    text += &folded(
        "Each step is trimmed until the meter shows its nominal: what is the true RMS current then?",
        "",
    );
    text.push('\n');
    text += &steps(survey);
    text += "In short\n";
    for (index, meter) in survey.meters().iter().enumerate() {
        let law = meter.detector.words();
        text += &folded(&format!("{} ({law}): {}", meter.name, in_short(survey, index)), "  ");
    }
    text += &folded(
        "Room: how much of the way from the nominal to the band's edge is used up; tight: more than \
         half of it by the law alone. Life -: so far below the lamp's rating the life law says \
         nothing. Light ~: beyond the law's range.",
        "  ",
    );
    if !notes.is_empty() {
        text += "\nNoticed\n";
        for note in notes {
            text += &folded(&note.text, "  ");
        }
    }
    text += "\nBands\n";
    for line in sources(survey) {
        text += &folded(&line, "  ");
    }
    text += "\nWhat this does not say\n";
    for limit in LIMITS {
        text += &folded(limit, "  ");
    }
    text += "\nBefore anyone goes to the regulator\n";
    for caution in CAUTIONS {
        text += &folded(caution, "  ");
    }
    if let Some(folder) = folder {
        let _ = writeln!(text, "\nPlots and every number: {}", folder.display());
    }
    text
}

/// The verdict of one meter over all steps.
fn in_short(survey: &Survey, meter: usize) -> String {
    if survey.fit_everywhere(meter) {
        return "fit at every step".into();
    }
    let at = |verdicts: &[Fitness]| {
        let steps: Vec<_> = survey.steps_with(meter, verdicts).iter().map(u32::to_string).collect();
        (!steps.is_empty()).then(|| steps.join(", "))
    };
    let parts = [
        at(&[Fitness::NotFit, Fitness::Blind]).map(|steps| format!("NOT FIT at step {steps}")),
        at(&[Fitness::Tight]).map(|steps| format!("TIGHT at step {steps}")),
        at(&[Fitness::Fit]).map(|steps| format!("fit at step {steps}")),
    ];
    parts.into_iter().flatten().collect::<Vec<_>>().join("; ")
}

/// One block for each step, all blocks in the same columns.
fn steps(survey: &Survey) -> String {
    let header = ["", "shows A", "error", "true A", "room", "light", "life", "verdict"];
    let rows: Vec<Vec<String>> =
        survey.results().iter().flat_map(|result| result.judgements.iter().map(row)).collect();
    let mut lines = table::lines(&header, &rows, &[1, 2, 3, 4, 5, 6]).into_iter();
    let mut text = String::new();
    if let Some(line) = lines.next() {
        let _ = writeln!(text, "{line}");
    }
    for result in survey.results() {
        let _ = writeln!(text, "{}", heading(result));
        for line in lines.by_ref().take(result.judgements.len()) {
            let _ = writeln!(text, "{line}");
        }
        text.push('\n');
    }
    text
}

fn heading(result: &StepResult) -> String {
    let step = &result.step;
    let crest = result
        .measures
        .dc
        .crest_factor()
        .map_or(String::new(), |crest| format!("   crest factor {crest:.3}"));
    format!(
        "STEP {}   nominal {:.2} A   band {:.2} to {:.2} A{crest}",
        step.number,
        step.nominal.a(),
        step.band.low_a(),
        step.band.high_a()
    )
}

fn row(judgement: &Judgement) -> Vec<String> {
    let mut row = vec![
        judgement.meter.name.clone(),
        bare_amperes(judgement.shown.shown_a()),
        percent(judgement.error_ratio),
    ];
    match &judgement.trimmed {
        Some(trimmed) => row.extend([
            bare_amperes(trimmed.true_rms.a()),
            trimmed.band_share_ratio.map_or("-".into(), ratio_as_percent),
            light(trimmed.effect.light_ratio, trimmed.effect.light_credible),
            life(trimmed.effect.life),
        ]),
        None => row.extend(["-"; 4].map(str::to_owned)),
    }
    let verdict = judgement.fitness.words();
    row.push(match (judgement.fitness, &judgement.trimmed) {
        (Fitness::Fit, _) => verdict.to_owned(),
        (Fitness::NotFit, Some(trimmed)) => {
            format!("{}: {}", verdict.to_uppercase(), placement(trimmed.placement))
        }
        _ => verdict.to_uppercase(),
    });
    row
}

/// The steps read again at the second load: only what differs from the first reading.
fn rechecked(recheck: &Recheck, setup: &RegulatorSetup) -> String {
    let share = setup.recheck_load_ratio.map_or(String::new(), ratio_as_percent);
    let mut text = format!("READ AGAIN with the field connected, load {share} of rated\n");
    text += &folded(
        match setup.sense {
            SenseLaw::TrueRms => {
                "The control holds the true RMS: a change on the meter is the meter's."
            }
            SenseLaw::RectifiedMean => {
                "The control senses the average: the true current itself moves with the load."
            }
        },
        "",
    );
    let rows: Vec<Vec<String>> = recheck
        .rows
        .iter()
        .map(|row| {
            vec![
                row.step.number.to_string(),
                row.meter.name.clone(),
                bare_amperes(row.set.a()),
                bare_amperes(row.loaded.a()),
                placement(row.placement).to_owned(),
                bare_amperes(row.shown.shown_a()),
                percent(row.shown_change_ratio),
            ]
        })
        .collect();
    let header =
        ["step", "set by", "true A set", "true A now", "", "shows A now", "against nominal"];
    for line in table::lines(&header, &rows, &[2, 3, 5, 6]) {
        let _ = writeln!(text, " {line}");
    }
    text.push('\n');
    text
}

/// Each source of bands once, with the remarks of its steps.
fn sources(survey: &Survey) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for result in survey.results() {
        let line = result.step.source.to_string();
        if !lines.contains(&line) {
            lines.push(line);
        }
    }
    for result in survey.results() {
        if let Some(remark) = &result.step.remark {
            lines.push(format!("Step {}: {remark}.", result.step.number));
        }
    }
    lines
}

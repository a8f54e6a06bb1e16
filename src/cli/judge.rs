use std::fmt::Write;
use std::path::{Path, PathBuf};

use crate::assess::{Fitness, Judgement, Recheck, StepResult, Survey};
use crate::circuit::SenseLaw;
use crate::description::{Description, RegulatorSetup, misspelt};
use crate::error::{Note, Result};
use crate::report::{
    Document, Existing, LIMITS, OutputFolder, SurveyDocument, amperes, bare_amperes, bare_percent,
    least_room, life, light, percent, placement, ratio_as_percent, signed_amperes, to_json,
};

use super::args::JudgeArgs;
use super::console::{cautions, folded, print, refuse_standard_input};
use super::figures;
use super::outcome::Outcome;
use super::table;

/// The main job: description, current at every step, every meter's verdict, plots and numbers.
pub(super) fn run(args: &JudgeArgs, json: bool) -> Result<Outcome> {
    let description = match &args.description {
        Some(file) => {
            refuse_standard_input(file)?;
            Description::read(file)?
        }
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
    // With --json a folder is written only when one is named.
    let wants_folder = !args.no_folder && (!json || args.out.is_some());
    let drawn =
        if wants_folder { figures::in_known_characters(&description, &cases)? } else { None };
    notes.extend(drawn.as_ref().map(|(_, _, note)| note.clone()));
    let document = SurveyDocument::new(&description, &survey, recheck.as_ref(), &notes);
    let json_text = to_json(&Document::Survey(Box::new(document)));

    let folder = if wants_folder {
        let mut folder = begin(args)?;
        folder.add("survey.json", json_text.as_bytes())?;
        folder.add("description.toml", description.runnable_text.as_bytes())?;
        let (drawn_cases, drawn_survey) = match &drawn {
            Some((cases, survey, _)) => (cases, survey),
            None => (&cases, &survey),
        };
        for (name, bytes) in figures::draw(drawn_cases, drawn_survey)? {
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
    if against && !json {
        let mut lines = String::from("\nRequired\n");
        for meter in required.iter().filter(|meter| !survey.fit_everywhere(**meter)) {
            let name = &survey.meters()[*meter].name;
            lines += &folded(&format!("{name}: {}", in_short(&survey, *meter)), "  ");
        }
        print(&lines)?;
    }
    Ok(if against { Outcome::VerdictAgainst } else { Outcome::Done })
}

fn begin(args: &JudgeArgs) -> Result<OutputFolder> {
    match &args.out {
        Some(target) => {
            let existing = if args.replace { Existing::Replace } else { Existing::Keep };
            let folder = OutputFolder::begin(target, existing)?;
            match &args.description {
                Some(file) => folder.sparing(file),
                None => Ok(folder),
            }
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
            misspelt(format!("one of the meters {}", list.join(", ")), name, known())
                .with_context("--require")
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
    text += &folded(
        "By the detector law alone: the meter's own accuracy must fit into what is left.",
        "  ",
    );
    for (index, meter) in survey.meters().iter().enumerate() {
        let law = meter.detector.words();
        text += &folded(&format!("{} ({law}): {}", meter.name, in_short(survey, index)), "  ");
    }
    for line in sheets(survey) {
        text += &folded(&line, "  ");
    }
    for line in legend(description) {
        text += &folded(&line, "  ");
    }
    text += "\nCurrents, each scaled to its nominal\n";
    for line in origins(survey) {
        text += &folded(&line, "  ");
    }
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
    text += &cautions();
    if let Some(folder) = folder {
        let _ = writeln!(text, "\nPlots and every number: {}", folder.display());
    }
    text
}

/// Which verdicts lack what: a table of laws must not pass for one of instruments.
fn sheets(survey: &Survey) -> Vec<String> {
    let named = |has_sheet: bool| {
        let meters = survey.meters().iter();
        let chosen = meters.filter(|meter| meter.sheet.is_some() == has_sheet);
        let names: Vec<&str> = chosen.map(|meter| meter.name.as_str()).collect();
        (!names.is_empty()).then(|| names.join(", "))
    };
    let with = named(true).map(|names| {
        format!(
            "With a data sheet: {names}. `loopcrest fitness` judges the whole instrument; where it \
             says less than this table, it is right."
        )
    });
    let without = named(false).map(|names| {
        format!(
            "Without a data sheet: {names}. Their accuracy is in no verdict; `loopcrest meters` shows \
             how a sheet is written, `loopcrest fitness` judges it."
        )
    });
    [with, without].into_iter().flatten().collect()
}

/// What the columns say, and how far the lamp laws hold.
fn legend(description: &Description) -> [String; 2] {
    let lamp = &description.lamp;
    let (low, high) = lamp.credible_current_ratio();
    [
        "Used: how much of the way from the nominal to the band's edge the trimming takes; tight: \
         more than half of it by the law alone. Light: of the step's nominal."
            .into(),
        format!(
            "Light ~: beyond the law's range, {low:.3} to {high:.3} of the current compared with. \
             Life -: far below the lamps' rated current the law says nothing; also when that \
             current is not known. Source: {}.",
            lamp.credible_voltage_ratio.source
        ),
    ]
}

/// Where each step's current comes from; steps of one origin on one line.
fn origins(survey: &Survey) -> Vec<String> {
    let mut origins: Vec<(Vec<String>, &str)> = Vec::new();
    for result in survey.results() {
        let number = result.step.number.to_string();
        match origins.iter_mut().find(|(_, origin)| *origin == result.origin) {
            Some((numbers, _)) => numbers.push(number),
            None => origins.push((vec![number], &result.origin)),
        }
    }
    let line =
        |(numbers, origin): &(Vec<String>, &str)| format!("Step {}: {origin}", numbers.join(", "));
    origins.iter().map(line).collect()
}

/// The verdict of one meter over all steps.
fn in_short(survey: &Survey, meter: usize) -> String {
    let left = least_room(survey, meter)
        .map(|(step, left_a)| format!("least left: {} at step {step}", amperes(left_a)));
    if survey.fit_everywhere(meter) {
        return ["fit at every step".to_owned()]
            .into_iter()
            .chain(left)
            .collect::<Vec<_>>()
            .join("; ");
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
    parts.into_iter().flatten().chain(left).collect::<Vec<_>>().join("; ")
}

/// One block for each step, all blocks in the same columns.
fn steps(survey: &Survey) -> String {
    let header = ["", "shows A", "error A", "%", "true A", "used", "light", "life", "verdict"];
    let rows: Vec<Vec<String>> =
        survey.results().iter().flat_map(|result| result.judgements.iter().map(row)).collect();
    let mut lines = table::lines(&header, &rows, &[1, 2, 3, 4, 5, 6, 7], 0).into_iter();
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
        signed_amperes(judgement.error_a),
        bare_percent(judgement.error_ratio),
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
    let which = setup.recheck_load_ratio.map_or_else(
        || "the field of the description".to_owned(),
        |share| format!("load {} of rated", ratio_as_percent(share)),
    );
    let mut text = format!("READ AGAIN with the field connected, {which}\n");
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
    text += &folded(
        "Set A: the true RMS after trimming. Now A: the true RMS at this load. Shows A: what the \
         meter shows then; vs nominal: how far that is from the number it was trimmed to.",
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
    let header = ["step", "set by", "set A", "now A", "", "shows A", "vs nominal"];
    for line in table::lines(&header, &rows, &[2, 3, 5, 6], 1) {
        let _ = writeln!(text, "{line}");
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

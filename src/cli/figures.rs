use crate::assess::{StepCase, Survey};
use crate::description::Description;
use crate::error::{Note, Result};
use crate::plot::{
    Drawing, Palette, current_figure, drawable, error_figure, harmonics_figure, ladder_figure,
};

/// Cases and survey with names and origins in characters the figures' fonts have; `None` when they
/// are already, else with the finding that says what the figures show instead.
pub(super) fn in_known_characters(
    description: &Description,
    cases: &[StepCase],
) -> Result<Option<(Vec<StepCase>, Survey, Note)>> {
    let mut shown = description.clone();
    let mut replaced: Vec<String> = Vec::new();
    let mut cleaned = |text: &mut String| {
        let clean = drawable(text);
        if clean != *text {
            replaced.push(format!("\"{clean}\" for \"{text}\""));
            *text = clean;
        }
    };
    shown.meters.iter_mut().for_each(|meter| cleaned(&mut meter.name));
    let mut cases = cases.to_vec();
    cases.iter_mut().for_each(|case| cleaned(&mut case.origin));
    if replaced.is_empty() {
        return Ok(None);
    }
    let survey = shown.survey(&cases)?;
    let note = Note::new(
        "figure-characters",
        format!("the figures' font lacks some characters; they show {}", replaced.join(", ")),
    );
    Ok(Some((cases, survey, note)))
}

/// Every figure of the main job, as SVG and PNG: file names and their bytes.
pub(super) fn draw(cases: &[StepCase], survey: &Survey) -> Result<Vec<(String, Vec<u8>)>> {
    let mut names = vec!["errors".to_owned(), "ladder-of-shapes".to_owned()];
    let mut figures = vec![error_figure(survey), ladder_figure()?];
    for (case, result) in cases.iter().zip(survey.results()) {
        names.push(format!("step-{}-current", case.step.number));
        figures.push(current_figure(case, result));
        names.push(format!("step-{}-harmonics", case.step.number));
        figures.push(harmonics_figure(result));
    }
    let drawings = Drawing::all(&figures, &Palette::LIGHT, Drawing::DEFAULT_PNG_WIDTH_PX)?;
    let mut files = Vec::with_capacity(drawings.len());
    for (name, (drawing, png)) in names.iter().zip(drawings) {
        files.push((format!("{name}.svg"), drawing.svg().as_bytes().to_vec()));
        files.push((format!("{name}.png"), png));
    }
    Ok(files)
}

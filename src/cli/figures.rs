use crate::assess::{StepCase, Survey};
use crate::error::Result;
use crate::plot::{
    Drawing, Palette, current_figure, error_figure, harmonics_figure, ladder_figure,
};

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

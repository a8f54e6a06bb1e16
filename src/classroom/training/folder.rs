//! The set as files: pictures, data and an index with the captions.

use std::fmt::Write as _;

use rayon::prelude::*;

use crate::error::Result;
use crate::plot::{Canvas, Drawing, Palette};
use crate::report::{
    Document, TrainingDocument, TrainingFigurePart, TrainingParameterPart, to_json,
};

use super::{Parameter, TrainingCircuit, TrainingFigure, TrainingOptions};

/// How the set is drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct TrainingLook {
    /// Slides or paper.
    pub canvas: Canvas,
    /// Light or dark.
    pub palette: Palette,
    /// Width of the PNG files.
    pub png_width_px: u32,
}

impl Default for TrainingLook {
    fn default() -> Self {
        Self {
            canvas: Canvas::Slide,
            palette: Palette::LIGHT,
            png_width_px: Drawing::DEFAULT_PNG_WIDTH_PX,
        }
    }
}

/// Figures with their options as files, drawn on all processors: SVG, PNG and CSV of each, and an index
/// with the captions as JSON (`index.json`) and as text (`index.txt`). The same bytes whatever the
/// number of threads.
///
/// # Errors
/// As [`TrainingFigure::figure`]; of several, the first in order.
pub fn training_files(
    chosen: &[(TrainingFigure, TrainingOptions)],
    look: &TrainingLook,
) -> Result<Vec<(String, Vec<u8>)>> {
    let circuit = TrainingCircuit::invented()?;
    type Drawn = (Vec<(String, Vec<u8>)>, TrainingFigurePart);
    let drawn: Vec<Result<Drawn>> = chosen
        .par_iter()
        .map(|(which, options)| {
            let mut figure = which.figure_of(&circuit, options)?;
            // Shown by itself, a figure still says which of the set it is.
            figure.footnote = format!("{}. {}", which.code(), figure.footnote);
            let drawing = figure.draw_on(look.canvas, &look.palette)?;
            let png = drawing.png(look.png_width_px)?;
            let stem = format!("{}-{}", which.code().to_lowercase(), which.slug());
            let files = vec![
                (format!("{stem}.svg"), drawing.svg().as_bytes().to_vec()),
                (format!("{stem}.png"), png),
                (format!("{stem}.csv"), figure.csv().into_bytes()),
            ];
            let names = files.iter().map(|(name, _)| name.clone()).collect();
            Ok((files, part(*which, options, Some(figure.caption), names)))
        })
        .collect();
    let (mut files, mut parts) = (Vec::new(), Vec::new());
    for one in drawn {
        let (more, part) = one?;
        files.extend(more);
        parts.push(part);
    }
    let document = TrainingDocument::new(parts);
    files.push(("index.txt".into(), index(&document).into_bytes()));
    let json = to_json(&Document::Training(Box::new(document)));
    files.push(("index.json".into(), json.into_bytes()));
    Ok(files)
}

/// The set as a document, without captions: nothing is computed.
#[must_use]
pub fn training_list() -> TrainingDocument {
    let none = TrainingOptions::default();
    let all = TrainingFigure::ALL.into_iter();
    TrainingDocument::new(all.map(|which| part(which, &none, None, Vec::new())).collect())
}

fn part(
    which: TrainingFigure,
    options: &TrainingOptions,
    caption: Option<String>,
    files: Vec<String>,
) -> TrainingFigurePart {
    let own = which.defaults();
    let parameter = |parameter: Parameter| {
        let value = options.written(parameter).or_else(|| own.written(parameter))?;
        own.has(parameter).then(|| TrainingParameterPart {
            key: parameter.key().to_owned(),
            words: parameter.words().to_owned(),
            value,
            allowed: parameter.allowed(),
        })
    };
    TrainingFigurePart {
        code: which.code(),
        slug: which.slug().to_owned(),
        level: which.level().key().to_owned(),
        title: which.title().to_owned(),
        lesson: which.lesson().to_owned(),
        parameters: Parameter::ALL.into_iter().filter_map(parameter).collect(),
        caption,
        files,
    }
}

fn index(document: &TrainingDocument) -> String {
    let mut text = String::from(
        "Training figures. The circuit and the meters are invented, the regulator is a generic model:\n\
         nobody's machine. Every number was computed when the figure was drawn.\n",
    );
    for part in &document.figures {
        let _ = writeln!(text, "\n{}  {}  (level: {})", part.code, part.title, part.level);
        let _ = writeln!(text, "  {}", part.lesson);
        if let Some(caption) = &part.caption {
            let _ = writeln!(text, "  {caption}");
        }
        let values: Vec<String> = part
            .parameters
            .iter()
            .map(|parameter| format!("{} = {}", parameter.key, parameter.value))
            .collect();
        if !values.is_empty() {
            let _ = writeln!(text, "  {}", values.join(", "));
        }
        let _ = writeln!(text, "  {}", part.files.join(", "));
    }
    text
}

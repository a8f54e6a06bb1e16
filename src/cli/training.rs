use std::fmt::Write;
use std::path::PathBuf;

use clap::Args;

use crate::classroom::training::{
    TrainingFigure, TrainingLook, TrainingOptions, training_files, training_list,
};
use crate::error::{Error, Result};
use crate::plot::{Canvas, Palette};
use crate::report::{Document, TrainingDocument, to_json};

use super::console::folded;
use super::outcome::Outcome;
use super::regulated;

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  loopcrest training\n  \
                        loopcrest training --out training\n  \
                        loopcrest training --out handout --only t03,sign-change --paper\n  \
                        loopcrest training --out dark --dark --set step=2 --set load=75%\n\n\
                        Each figure is written as SVG and PNG with its data as CSV; index.txt and \
                        index.json hold the captions. A --set holds for every figure drawn that has \
                        the parameter.")]
pub(super) struct TrainingArgs {
    /// Folder for the figures; without it the set is listed
    #[arg(long, value_name = "FOLDER")]
    out: Option<PathBuf>,
    /// Only these figures, by number or name (t03,lamps-out); the whole set when left out
    #[arg(long, value_name = "FIGURES", value_delimiter = ',', requires = "out")]
    only: Vec<String>,
    /// Choose a parameter: step, load, lamps-out, thd, probability or meter
    #[arg(long, value_name = "NAME=VALUE", requires = "out")]
    set: Vec<String>,
    /// Light lines on a dark ground
    #[arg(long, requires = "out")]
    dark: bool,
    /// The sides of A4 and A5, lying, with margins and thin lines, in place of slides
    #[arg(long, requires = "out")]
    paper: bool,
    /// Replace the folder named with --out if it exists
    #[arg(long, requires = "out")]
    replace: bool,
}

/// Lists the training figures, or draws them.
pub(super) fn run(args: &TrainingArgs, json: bool) -> Result<Outcome> {
    let list = training_list();
    let text = text(&list);
    let json_text = to_json(&Document::Training(Box::new(list)));
    let mut shown = (text, json_text);
    let folder = regulated::write(args.out.as_ref(), args.replace, || {
        let files = training_files(&chosen(args)?, &look(args))?;
        let told = |name: &str| {
            let file = files.iter().find(|(file, _)| file == name);
            file.map_or(String::new(), |(_, bytes)| String::from_utf8_lossy(bytes).into_owned())
        };
        shown = (told("index.txt"), told("index.json"));
        Ok(files)
    })?;
    regulated::show(json, &shown.1, &shown.0, folder.as_deref())?;
    Ok(Outcome::Done)
}

fn look(args: &TrainingArgs) -> TrainingLook {
    TrainingLook {
        canvas: if args.paper { Canvas::Paper } else { Canvas::Slide },
        palette: if args.dark { Palette::DARK } else { Palette::LIGHT },
        ..TrainingLook::default()
    }
}

/// The figures asked for, each with the parameters it has.
fn chosen(args: &TrainingArgs) -> Result<Vec<(TrainingFigure, TrainingOptions)>> {
    let mut figures = TrainingFigure::ALL.to_vec();
    if !args.only.is_empty() {
        figures =
            args.only.iter().map(|name| TrainingFigure::named(name)).collect::<Result<_>>()?;
        figures.sort();
        figures.dedup();
    }
    let mut chosen: Vec<(TrainingFigure, TrainingOptions)> =
        figures.into_iter().map(|figure| (figure, TrainingOptions::default())).collect();
    for setting in &args.set {
        let (key, value) = setting.split_once('=').ok_or_else(|| {
            Error::malformed("NAME=VALUE after --set", format!("\"{setting}\""))
                .with_hint("such as --set step=2")
        })?;
        TrainingOptions::set_each(&mut chosen, key.trim(), value)?;
    }
    Ok(chosen)
}

fn text(list: &TrainingDocument) -> String {
    let mut text = String::from("Figures for teaching\n\n");
    for part in &list.figures {
        let _ = writeln!(text, "{}  {:<17} {:<8} {}", part.code, part.slug, part.level, part.title);
        text += &folded(&part.lesson, "     ");
        for parameter in &part.parameters {
            let told = format!(
                "{} = {}: {}; {}",
                parameter.key, parameter.value, parameter.words, parameter.allowed
            );
            text += &folded(&told, "       ");
        }
    }
    text += "\nDraw them with --out FOLDER.\n";
    text
}

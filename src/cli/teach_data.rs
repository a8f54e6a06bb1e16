use std::path::PathBuf;

use clap::Args;

use crate::classroom::training::{TeachData, teach_data_files};
use crate::error::Result;
use crate::plot::Palette;

use super::outcome::Outcome;
use super::quantities::{load, time};
use super::regulated;

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  loopcrest teach-data --out sounds\n  \
                        loopcrest teach-data --out step-3 --step 3 --load 50% --points 4096\n\n\
                        Written are sounds (WAV: the current, a sine, the harmonics alone), one \
                        period for a signal generator (CSV), and two books to leaf through, as \
                        animated SVG and as a page (load, lamps out); index.txt says what each is.")]
pub(super) struct TeachDataArgs {
    /// Folder for the files
    #[arg(long, value_name = "FOLDER")]
    out: PathBuf,
    /// Brightness step
    #[arg(long, default_value_t = 1)]
    step: u32,
    /// Load as a share of the rated load resistance, or shorted or full
    #[arg(long, value_parser = load, default_value = "2%")]
    load: f64,
    /// Points of the table
    #[arg(long, default_value_t = 1000)]
    points: usize,
    /// Length of each sound
    #[arg(long, value_parser = time, default_value = "4s")]
    seconds: f64,
    /// Light lines on a dark ground in the books
    #[arg(long)]
    dark: bool,
    /// Replace the folder if it exists
    #[arg(long)]
    replace: bool,
}

/// Writes data for teaching.
pub(super) fn run(args: &TeachDataArgs, json: bool) -> Result<Outcome> {
    let wanted = TeachData {
        step: args.step,
        load_ratio: args.load,
        sound_s: args.seconds,
        points: args.points,
        palette: if args.dark { Palette::DARK } else { Palette::LIGHT },
    };
    let mut shown = (String::new(), String::new());
    let folder = regulated::write(Some(&args.out), args.replace, || {
        let files = teach_data_files(&wanted)?;
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

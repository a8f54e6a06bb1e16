//! The embedded description for the examples: an invented circuit, no regulator was measured for it.

#![allow(dead_code, reason = "each example takes what it needs")]

use std::path::{Path, PathBuf};

use loopcrest::assess::{StepCase, Survey};
use loopcrest::description::Description;
use loopcrest::error::{Error, Result};
use loopcrest::plot::{Drawing, Figure, Palette};

/// The step shown by itself: the dimmest, the last in the order of setting.
pub(crate) const CHOSEN: usize = 4;

/// The steps of the embedded description with the current at each, and every meter at every step.
///
/// # Errors
/// None in practice: the embedded description is read by a test.
pub(crate) fn cases_and_survey() -> Result<(Vec<StepCase>, Survey)> {
    let description = Description::embedded();
    let cases = description.cases()?.value;
    let survey = description.survey(&cases)?;
    Ok((cases, survey))
}

/// Writes a figure as SVG and PNG into the folder named by the first argument, or `plots/`.
///
/// # Errors
/// As [`Figure::draw`]; `Io` when a file cannot be written.
#[expect(clippy::print_stdout, reason = "an example tells its reader where the picture went")]
pub(crate) fn write(name: &str, figure: &Figure) -> Result<()> {
    let folder = std::env::args_os().nth(1).map_or_else(|| PathBuf::from("plots"), PathBuf::from);
    let drawing = figure.draw(&Palette::LIGHT)?;
    let put = |path: &Path, bytes: &[u8]| {
        std::fs::write(path, bytes).map_err(|error| Error::io(path, error))
    };
    std::fs::create_dir_all(&folder).map_err(|error| Error::io(&folder, error))?;
    put(&folder.join(format!("{name}.svg")), drawing.svg().as_bytes())?;
    put(&folder.join(format!("{name}.png")), &drawing.png(Drawing::DEFAULT_PNG_WIDTH_PX)?)?;
    println!("{}: {}", folder.join(name).with_extension("svg").display(), figure.caption);
    Ok(())
}

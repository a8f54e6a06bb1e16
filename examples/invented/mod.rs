//! The embedded description for the examples: an invented circuit, no regulator was measured for it.

#![allow(dead_code, reason = "each example takes what it needs")]

use std::path::{Path, PathBuf};

use loopcrest::assess::instrument::{CircuitCurrents, Comparison, Instrument, Terms};
use loopcrest::assess::{StepCase, Survey};
use loopcrest::description::Description;
use loopcrest::error::{Error, Result};
use loopcrest::meter::Archetype;
use loopcrest::plot::{Drawing, Figure, Palette, comparison_figure, reading_distribution_figure};

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

/// Every archetype ready to be judged at the mains frequency of the embedded description.
fn instruments(mains_hz: f64) -> Result<Vec<Instrument>> {
    Archetype::ALL
        .iter()
        .map(|kind| Instrument::new(kind.words(), kind.sheet(), mains_hz, None))
        .collect()
}

/// What a reading of a precision clamp proves on the dimmest step, output shorted.
///
/// # Errors
/// None in practice: the embedded description is read by a test.
pub(crate) fn reading_distribution() -> Result<Figure> {
    let description = Description::embedded();
    let currents = description.possible_currents()?.value;
    let meters = instruments(description.frequency_hz)?;
    reading_distribution_figure(&meters[0], &currents[CHOSEN], &Terms::default())?
        .ok_or_else(|| Error::inconsistent("the archetype states its accuracy"))
}

/// Every archetype at every step of the embedded description.
///
/// # Errors
/// None in practice: the embedded description is read by a test.
pub(crate) fn comparison() -> Result<Figure> {
    let description = Description::embedded();
    let steps = description.possible_currents()?.value;
    let circuit = CircuitCurrents { name: description.title.clone(), steps };
    let meters = instruments(description.frequency_hz)?;
    Ok(comparison_figure(&Comparison::new(&meters, &[circuit], &Terms::default())?))
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

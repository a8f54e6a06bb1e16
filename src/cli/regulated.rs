//! What the commands that solve the regulator have in common.

use std::path::{Path, PathBuf};

use crate::circuit::SenseLaw;
use crate::description::{Description, RegulatorSetup};
use crate::error::{Error, Result};
use crate::regulator::ValuesOrigin;
use crate::report::{Existing, OutputFolder};

use super::args::SenseArg;
use super::console::{folded, print};

/// The description named, or the invented example.
pub(super) fn description(file: Option<&Path>) -> Result<Description> {
    file.map_or_else(|| Ok(Description::embedded()), Description::read)
}

/// The description's regulator with what the command line knows better.
pub(super) fn setup(
    description: &Description,
    file: Option<&Path>,
    load_ratio: Option<f64>,
    sense: Option<SenseArg>,
) -> Result<RegulatorSetup> {
    let mut setup = description.regulator.clone().ok_or_else(|| {
        let name = file.map_or_else(|| "the description".into(), |file| file.display().to_string());
        Error::inconsistent(format!("{name} has no [regulator] to solve"))
            .with_hint("`loopcrest starter` shows how one is described")
    })?;
    if let Some(ratio) = load_ratio {
        setup.load_ratio = RegulatorSetup::LOAD_RATIO.check(ratio)?;
    }
    if let Some(sense) = sense {
        setup.sense = match sense {
            SenseArg::TrueRms => SenseLaw::TrueRms,
            SenseArg::Average => SenseLaw::RectifiedMean,
        };
    }
    Ok(setup)
}

/// The nominal of a step, the brightest when none is named.
pub(super) fn nominal_a(description: &Description, step: Option<u32>) -> Result<f64> {
    let Some(number) = step else { return Ok(description.steps.top().nominal.a()) };
    let found = description.steps.step(number).ok_or_else(|| {
        let known: Vec<_> =
            description.steps.steps().iter().map(|step| step.number.to_string()).collect();
        Error::malformed(
            format!("a step of the description: {}", known.join(", ")),
            format!("--step {number}"),
        )
    })?;
    Ok(found.nominal.a())
}

/// The last sentence under numbers of a model: what it is, and so what they are worth.
pub(super) fn closing(origin: ValuesOrigin) -> String {
    let words = origin.words();
    let words = words.strip_prefix('a').unwrap_or(words);
    folded(&format!("A{words}; a capture of the real current outranks it."), "")
}

/// Writes documents and figures into the folder named, if one is named.
pub(super) fn write(
    out: Option<&PathBuf>,
    replace: bool,
    files: impl FnOnce() -> Result<Vec<(String, Vec<u8>)>>,
) -> Result<Option<PathBuf>> {
    let Some(target) = out else { return Ok(None) };
    let existing = if replace { Existing::Replace } else { Existing::Keep };
    let mut folder = OutputFolder::begin(target, existing)?;
    for (name, bytes) in files()? {
        folder.add(&name, &bytes)?;
    }
    folder.finish().map(Some)
}

/// Prints the document, or the text with where the folder is.
pub(super) fn show(json: bool, json_text: &str, text: &str, folder: Option<&Path>) -> Result<()> {
    if json {
        return print(json_text);
    }
    match folder {
        Some(folder) => print(&format!("{text}\nPlots and numbers: {}\n", folder.display())),
        None => print(text),
    }
}

/// Title, whether it is invented, and the regulator: the head of every solved document.
pub(super) fn heading(title: &str, invented: bool, regulator: &str) -> String {
    let invented = if invented { "   (invented example)" } else { "" };
    format!("{title}{invented}\n{regulator}\n")
}

//! What the commands that vary a description have in common.

use std::path::Path;

use crate::description::{Description, RegulatorSetup};
use crate::error::Result;
use crate::study::VariedCircuit;

use super::regulated;

/// The description, on a share of the rated load instead of its field when one is given.
pub(super) fn description(file: Option<&Path>, load_ratio: Option<f64>) -> Result<Description> {
    let mut description = regulated::description(file)?;
    let mut setup = regulated::setup(&description, file, None, None)?;
    if let Some(ratio) = load_ratio {
        setup.load_ratio = RegulatorSetup::LOAD_RATIO.check(ratio)?;
        description.regulator = Some(setup);
        description.field = None;
        description.refresh_tolerances();
    }
    Ok(description)
}

/// The regulator and what is connected to it, in words.
pub(super) fn words(description: &Description, circuit: &VariedCircuit) -> String {
    let rating = description.regulator.as_ref().map(RegulatorSetup::rating_words);
    format!("{}, {}", rating.unwrap_or_default(), circuit.load_words())
}

//! What the commands that vary a description have in common.

use std::path::Path;

use crate::description::{Description, RegulatorSetup};
use crate::error::Result;

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

use crate::error::{Error, Result};

use super::args::CaptureArgs;
use super::outcome::Outcome;

pub(super) fn run(args: &CaptureArgs, _json: bool) -> Result<Outcome> {
    Err(Error::inconsistent(format!("{}", args.file.display())))
}

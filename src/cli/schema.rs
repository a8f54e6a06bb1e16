use crate::error::Result;
use crate::report::{Document, to_json};

use super::console::print;
use super::outcome::Outcome;

pub(super) fn run() -> Result<Outcome> {
    print(&to_json(&Document::schema()))?;
    Ok(Outcome::Done)
}

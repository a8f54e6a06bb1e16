use clap::CommandFactory;

use crate::error::Result;

use super::args::{Arguments, CompletionsArgs};
use super::console::print;
use super::outcome::Outcome;

pub(super) fn run(args: &CompletionsArgs) -> Result<Outcome> {
    let mut script = Vec::new();
    clap_complete::generate(args.shell, &mut Arguments::command(), "loopcrest", &mut script);
    print(&String::from_utf8_lossy(&script))?;
    Ok(Outcome::Done)
}

use std::fmt::Write;

use clap::Args;

use crate::description::misspelt;
use crate::error::Result;
use crate::meter::Archetype;
use crate::report::{Document, MetersDocument, plain_number, to_json};

use super::console::print;
use super::outcome::Outcome;
use super::table;

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  loopcrest meters\n  \
                        loopcrest meters general-true-rms-clamp >> bench.toml")]
pub(super) struct MetersArgs {
    /// Print the data sheet of this one as part of a description, to begin from
    pub(super) archetype: Option<String>,
}

/// The kinds of meter to begin from.
pub(super) fn run(args: &MetersArgs, json: bool) -> Result<Outcome> {
    let kinds = match &args.archetype {
        None => Archetype::ALL.to_vec(),
        Some(word) => {
            let keys = Archetype::ALL.map(Archetype::key);
            let kind = Archetype::from_key(word)
                .ok_or_else(|| misspelt(format!("one of {}", keys.join(", ")), word, keys))?;
            vec![kind]
        }
    };
    let document = MetersDocument::new(&kinds);
    if json {
        print(&to_json(&Document::Meters(Box::new(document))))?;
        return Ok(Outcome::Done);
    }
    if args.archetype.is_some() {
        let head = "# Invented: values of the kind such meters have, no product's. Put those of your \
                    own data sheet here.\n";
        print(&(head.to_owned() + &document.archetypes[0].toml))?;
        return Ok(Outcome::Done);
    }
    let rows: Vec<Vec<String>> = document
        .archetypes
        .iter()
        .map(|kind| {
            let ranges: Vec<String> = kind.ranges_a.iter().map(|a| plain_number(*a)).collect();
            vec![kind.key.to_owned(), kind.detector.clone(), kind.clamp.clone(), ranges.join(", ")]
        })
        .collect();
    let mut text = String::from("Kinds of meter with an invented data sheet to begin from\n\n");
    let header = ["archetype", "law", "current gets in by", "ranges A"];
    for line in table::lines(&header, &rows, &[3], 2) {
        let _ = writeln!(text, " {line}");
    }
    text += "\n`loopcrest meters NAME` prints a sheet as TOML.\n";
    print(&text)?;
    Ok(Outcome::Done)
}

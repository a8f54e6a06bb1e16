use std::fmt::Write;

use clap::Args;

use crate::cli::console::{folded, print};
use crate::cli::logbook_args::LogbookArgs;
use crate::cli::outcome::Outcome;
use crate::cli::table;
use crate::error::Result;
use crate::report::{Document, EquipmentDocument, percent, plain_number, plain_percent, to_json};

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  loopcrest logbook equipment")]
pub(super) struct EquipmentArgs {
    #[command(flatten)]
    logbook: LogbookArgs,
}

/// Everything the logbook knows now.
pub(super) fn run(args: &EquipmentArgs, json: bool) -> Result<Outcome> {
    let document = EquipmentDocument::of(&args.logbook.read()?)?;
    if json {
        print(&to_json(&Document::LogbookEquipment(Box::new(document))))?;
    } else {
        print(&text(&document))?;
    }
    Ok(Outcome::Done)
}

fn text(document: &EquipmentDocument) -> String {
    let mut text = format!("Equipment in {}\n", document.logbook);
    for meter in &document.meters {
        for doubt in &meter.doubts {
            text += &folded(
                &format!(
                    "IN DOUBT: {} showed {} from {} to {}: {} (entry {})",
                    meter.name,
                    percent(doubt.error_ratio),
                    doubt.from,
                    doubt.until,
                    doubt.reason,
                    doubt.entry
                ),
                "",
            );
        }
    }
    let dash = || "-".to_owned();
    let mut part = |title: &str, header: &[&str], rows: Vec<Vec<String>>, right: &[usize]| {
        let _ = writeln!(text, "\n{title}");
        if rows.is_empty() {
            text += "  none yet\n";
            return;
        }
        for line in table::lines(header, &rows, right, 1) {
            let _ = writeln!(text, " {line}");
        }
    };
    let regulators = document.regulators.iter().map(|known| {
        let open = known.open_visit.map_or_else(String::new, |visit| format!("visit {visit} open"));
        vec![
            known.name.clone(),
            known.place.clone(),
            known.serial.clone().unwrap_or_else(dash),
            known.visits.to_string(),
            known.last_visit.clone().unwrap_or_else(dash),
            known.next_due.clone().unwrap_or_else(dash),
            open,
        ]
    });
    part(
        "Regulators",
        &["name", "place", "serial", "visits", "last", "next due", ""],
        regulators.collect(),
        &[3],
    );
    let circuits = document
        .circuits
        .iter()
        .map(|known| vec![known.name.clone(), known.lights.clone(), known.regulator.clone()]);
    part("Circuits", &["name", "lights", "regulator"], circuits.collect(), &[]);
    let meters = document.meters.iter().map(|known| {
        let last = known.certificates.last();
        vec![
            known.name.clone(),
            known.serial.clone().unwrap_or_else(dash),
            last.map_or_else(dash, |last| last.number.clone()),
            last.map_or_else(dash, |last| last.date.clone()),
            last.and_then(|last| last.due.clone()).unwrap_or_else(dash),
            last.map_or_else(dash, |last| {
                let share = plain_percent(last.expanded_ratio);
                format!("{share} (k = {})", plain_number(last.coverage_factor))
            }),
        ]
    });
    part(
        "Meters with their last certificates",
        &["name", "serial", "certificate", "of", "until", "uncertainty"],
        meters.collect(),
        &[],
    );
    text
}

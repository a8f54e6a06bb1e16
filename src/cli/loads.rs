use std::fmt::Write;

use crate::error::Result;
use crate::regulator::ValuesOrigin;
use crate::report::{
    Document, LoadCellPart, LoadsDocument, bare_amperes, percent, plain_percent, ratio_as_percent,
    to_json,
};

use super::args::LoadsArgs;
use super::console::folded;
use super::outcome::Outcome;
use super::{figures, regulated, table};

/// Loads solved for when none is named.
const USUAL_LOADS: [f64; 6] = [0.02, 0.10, 0.25, 0.50, 0.75, 1.0];

/// Every brightness step at several loads.
pub(super) fn run(args: &LoadsArgs, json: bool) -> Result<Outcome> {
    let file = args.description.as_deref();
    let description = regulated::description(file)?;
    let setup = regulated::setup(&description, file, None, args.sense)?;
    let loads = if args.load.is_empty() { USUAL_LOADS.to_vec() } else { args.load.clone() };
    let document = LoadsDocument::new(&description, &setup, &loads)?;
    let text = text(&document, setup.regulator.values.origin);
    let json_text = to_json(&Document::Loads(Box::new(document)));
    let folder = regulated::write(args.out.as_ref(), args.replace, || {
        let mut files = figures::loads(&description, &setup)?;
        files.push(("loads.json".into(), json_text.clone().into_bytes()));
        Ok(files)
    })?;
    regulated::show(json, &json_text, &text, folder.as_deref())?;
    Ok(Outcome::Done)
}

fn text(document: &LoadsDocument, origin: ValuesOrigin) -> String {
    let mut text = regulated::heading(&document.title, document.invented, &document.regulator);
    text.push('\n');
    let shifts = document.control_senses == "average";
    let mut header = vec!["load", "step", "A", "delay", "average", "peak", "crest", "THD", "state"];
    if shifts {
        header.push("true A");
    }
    let rows: Vec<Vec<String>> = document.cells.iter().map(|cell| row(cell, shifts)).collect();
    let right: Vec<usize> = (0..8).collect();
    let mut last = None;
    for (index, line) in table::lines(&header, &rows, &right, 8).into_iter().enumerate() {
        let load = index.checked_sub(1).map(|at| document.cells[at].load_ratio);
        if load.is_some() && last.is_some() && load != last {
            text.push('\n');
        }
        last = load.or(last);
        let _ = writeln!(text, "{line}");
    }
    text.push('\n');
    text += &folded(
        "Average, peak: error of an average- and of a peak-responding meter at the nominal true RMS.",
        "",
    );
    if shifts {
        text += &folded(
            &format!(
                "The control senses the average. True A: true RMS at this load of a step set to its \
                 nominal at {} of rated and left alone.",
                ratio_as_percent(document.set_load_ratio)
            ),
            "",
        );
    }
    text += &regulated::closing(origin);
    text
}

fn row(cell: &LoadCellPart, shifts: bool) -> Vec<String> {
    let or_dash = |text: Option<String>| text.unwrap_or_else(|| "-".into());
    let state = match (cell.limit, cell.limit_a, &cell.failure) {
        (Some(limit), Some(limit_a), _) => format!("{limit} {}", bare_amperes(limit_a)),
        (_, _, Some(failure)) => failure.clone(),
        _ => cell.stability.unwrap_or("-").to_owned(),
    };
    let mut row = vec![
        ratio_as_percent(cell.load_ratio),
        cell.step.to_string(),
        format!("{:.1}", cell.nominal_rms_a),
        or_dash(cell.delay_deg.map(|delay| format!("{delay:.2}°"))),
        or_dash(cell.average_error_ratio.map(percent)),
        or_dash(cell.peak_error_ratio.map(percent)),
        or_dash(cell.crest_factor.map(|crest| format!("{crest:.4}"))),
        or_dash(cell.thd_ratio.map(plain_percent)),
        state,
    ];
    if shifts {
        row.push(or_dash(cell.true_rms_after_setting_a.map(bare_amperes)));
    }
    row
}

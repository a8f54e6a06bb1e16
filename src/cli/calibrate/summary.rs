use std::fmt::Write;

use crate::cli::console::{cautions, folded};
use crate::cli::table;
use crate::procedure::entry::{Moment, Output};
use crate::report::{
    CalibrationDocument, ReadingTakenPart, bare_amperes, probability, ratio_as_exact_percent,
};
use crate::units::span_decimals;

/// The readings of a visit as a table, with what they were judged to mean.
pub(super) fn text(document: &CalibrationDocument) -> String {
    let mut text = format!("\n{}, {}, {}\n", document.regulator, document.day, document.meter);
    if !document.dangers.is_empty() {
        text += "\nDANGER\n";
        text += &document.dangers.iter().map(|line| folded(line, "  ")).collect::<String>();
        text.push('\n');
    }
    if !document.readings.is_empty() {
        let rows: Vec<Vec<String>> = document.readings.iter().map(row).collect();
        let header =
            ["step", "output", "moment", "shown A", "true A", "±", "must show A", "in band", ""];
        for line in table::lines(&header, &rows, &[0, 3, 4, 5, 7], 6) {
            let _ = writeln!(text, " {line}");
        }
        let asked = ratio_as_exact_percent(document.conformance_probability);
        let line = format!(
            "ok: inside what the meter must show, so that the true current is in its band with {asked}. \
             \"-\": the meter cannot prove that there, or nothing is known."
        );
        text += &folded(&line, "  ");
        for note in &document.notes {
            text += &folded(&format!("NOTE: {}", note.text), "  ");
        }
    }
    if !document.shortfalls.is_empty() {
        text += "\nNot good, or not done yet\n";
        text += &document.shortfalls.iter().map(|line| folded(line, "  ")).collect::<String>();
    }
    if !document.missing.is_empty() {
        text += "\nMissing before the visit can be closed\n";
        text += &document.missing.iter().map(|line| folded(line, "  ")).collect::<String>();
    }
    text + &cautions()
}

fn row(part: &ReadingTakenPart) -> Vec<String> {
    let number = |value: Option<f64>| value.map_or_else(|| "-".to_owned(), bare_amperes);
    let short = if part.output == Output::Shorted.key() { "shorted" } else { "field" };
    let moment = if part.moment == Moment::AsFound.key() { "found" } else { "left" };
    vec![
        part.step.to_string(),
        short.to_owned(),
        moment.to_owned(),
        part.typed.clone(),
        number(part.true_rms_a),
        number(part.expanded_uncertainty_a),
        part.set_low_a.zip(part.set_high_a).map_or_else(
            || "-".to_owned(),
            |(low_a, high_a)| {
                let (low, high) = span_decimals(low_a, high_a);
                format!("{low} to {high}")
            },
        ),
        part.conformance_probability.map_or_else(|| "-".to_owned(), probability),
        if part.is_accepted { "ok" } else { "NO" }.to_owned(),
    ]
}

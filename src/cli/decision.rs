//! The decision about one reading as text.

use std::fmt::Write;

use crate::report::{DecisionPart, StepPart, bare_amperes, plain_percent};

use super::console::folded;
use super::table;

pub(super) fn text(part: &DecisionPart, step: &StepPart) -> String {
    let mut text = format!(
        "\nDecision: is the true current from {} to {} A?\n",
        bare_amperes(step.band_low_a),
        bare_amperes(step.band_high_a)
    );
    let this = format!(
        "This reading: it is with {}. Accepted, the risk of being wrong is {}; rejected, {}.",
        plain_percent(part.conformance_probability),
        plain_percent(part.specific_false_accept),
        plain_percent(part.specific_false_reject)
    );
    text += &folded(&this, "  ");
    if let Some((ratio, definition)) =
        part.test_uncertainty_ratio.zip(part.test_uncertainty_definition)
    {
        text += &folded(&format!("Test uncertainty ratio {ratio:.2}: {definition}."), "  ");
    }
    let none = || "-".to_owned();
    let rows: Vec<Vec<String>> = part
        .rules
        .iter()
        .map(|rule| {
            vec![
                rule.rule.clone(),
                rule.accept_low_a.zip(rule.accept_high_a).map_or_else(
                    || "nothing".to_owned(),
                    |(low_a, high_a)| format!("{low_a:.3} to {high_a:.3}"),
                ),
                rule.outcome.replace('-', " "),
                rule.global_false_accept.map_or_else(none, plain_percent),
                rule.global_false_reject.map_or_else(none, plain_percent),
            ]
        })
        .collect();
    text.push('\n');
    let header = ["rule", "accepts A", "this reading", "false accept", "false reject"];
    for line in table::lines(&header, &rows, &[3, 4], 0) {
        let _ = writeln!(text, " {line}");
    }
    let prior = format!(
        "Accepts: true current a reading means, not the display. False accept and reject: of all \
         currents that come before the meter, taken as normal about the middle of the band with a \
         standard deviation of {} A.",
        bare_amperes(part.prior_standard_deviation_a)
    );
    text += &folded(&prior, "  ");
    text
}

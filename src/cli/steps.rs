use std::fmt::Write;

use crate::description::misspelt;
use crate::error::Result;
use crate::regulator::CircuitClass;
use crate::report::{Document, StepsDocument, to_json};

use super::args::StepsArgs;
use super::console::{folded, print};
use super::outcome::Outcome;
use super::table;

pub(super) fn run(args: &StepsArgs, json: bool) -> Result<Outcome> {
    let only = args.circuit.as_deref().map(circuit).transpose()?;
    let document = StepsDocument::new(only);
    if json {
        print(&to_json(&Document::Steps(Box::new(document))))?;
        return Ok(Outcome::Done);
    }
    let mut text = String::new();
    for part in &document.tables {
        let usual = if part.is_default { "   (taken when none is named)" } else { "" };
        let _ = writeln!(text, "circuit {}   bands {}{usual}", part.circuit, part.bands);
        let rows: Vec<Vec<String>> = part
            .steps
            .iter()
            .map(|step| {
                vec![
                    step.number.to_string(),
                    format!("{:.1} A", step.nominal_rms_a),
                    format!("{:.2} A", step.band_low_a),
                    format!("{:.2} A", step.band_high_a),
                    step.band_remark.as_ref().map_or(String::new(), |_| "see below".into()),
                ]
            })
            .collect();
        for line in table::lines(&["step", "nominal", "from", "to", ""], &rows, &[1, 2, 3], 4) {
            let _ = writeln!(text, " {line}");
        }
        if let Some(step) = part.steps.first() {
            text += &folded(&step.band_source, "  ");
        }
        for step in &part.steps {
            if let Some(remark) = &step.band_remark {
                text += &folded(&format!("step {}: {remark}", step.number), "  ");
            }
        }
        text.push('\n');
    }
    text += &folded(
        "The sources differ and none is \"the\" standard. A band marked \"from memory\" has not been \
         checked against its source; enter your own in the description where one binds you.",
        "",
    );
    print(&text)?;
    Ok(Outcome::Done)
}

/// The circuit with this name, or an error with the nearest spelling.
pub(super) fn circuit(key: &str) -> Result<CircuitClass> {
    CircuitClass::from_key(key).ok_or_else(|| {
        let known = CircuitClass::ALL.map(CircuitClass::key);
        misspelt(format!("one of the circuits {}", known.join(", ")), key, known)
    })
}

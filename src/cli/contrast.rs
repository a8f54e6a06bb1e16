use std::fmt::Write;

use crate::error::Result;
use crate::regulator::ValuesOrigin;
use crate::report::{ContrastDocument, Document, amperes, ratio_as_percent, to_json, volts};

use super::args::ContrastArgs;
use super::console::folded;
use super::outcome::Outcome;
use super::{figures, readings, regulated};

/// The resonant source beside a phase-cut source and a sine.
pub(super) fn run(args: &ContrastArgs, json: bool) -> Result<Outcome> {
    let file = args.description.as_deref();
    let description = regulated::description(file)?;
    let setup = regulated::setup(&description, file, Some(args.load), None)?;
    let target_a = regulated::nominal_a(&description, args.step)?;
    let points = setup.contrast(target_a)?;
    let document = ContrastDocument::new(args.load, target_a, &points)?;
    let text = text(&document, setup.regulator.values.origin);
    let json_text = to_json(&Document::Contrast(Box::new(document)));
    let folder = regulated::write(args.out.as_ref(), args.replace, || {
        let mut files = figures::contrast(&points, &setup)?;
        files.push(("contrast.json".into(), json_text.clone().into_bytes()));
        Ok(files)
    })?;
    regulated::show(json, &json_text, &text, folder.as_deref())?;
    Ok(Outcome::Done)
}

fn text(document: &ContrastDocument, origin: ValuesOrigin) -> String {
    let mut text = String::new();
    let _ = writeln!(
        text,
        "{} true RMS on a load of {} of rated, from three kinds of source\n",
        amperes(document.output_rms_a),
        ratio_as_percent(document.load_ratio)
    );
    for part in &document.sources {
        let delay =
            part.delay_deg.map_or(String::new(), |delay| format!(", firing delay {delay:.1}°"));
        let _ = writeln!(
            text,
            "{}{delay}, output {} RMS, {} peak",
            part.source.to_uppercase(),
            volts(part.output_rms_v),
            volts(part.output_peak_v)
        );
        text += &readings::text(&part.measures, &part.readings);
        text.push('\n');
    }
    text += &match origin {
        ValuesOrigin::Generic => folded("Generic models, fitted to nobody's machine.", ""),
        known => folded(
            &format!("The resonant source is {}; the other two are generic.", known.words()),
            "",
        ),
    };
    text
}

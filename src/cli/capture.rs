use std::fmt::Write;

use crate::capture::read_file;
use crate::description::CaptureOrigin;
use crate::error::{Error, Result};
use crate::report::{CaptureDocument, Document, explain, explain_recorded, plain_number, to_json};

use super::args::CaptureArgs;
use super::channel_args::with_options;
use super::console::{cautions, folded, print, refuse_standard_input};
use super::outcome::Outcome;
use super::readings;

/// A recorded current: how the file was understood, what each kind of meter shows, which step.
pub(super) fn run(args: &CaptureArgs, json: bool) -> Result<Outcome> {
    let table = args.channel.table()?;
    let asked = match args.step {
        Some(number) => Some(table.step(number).ok_or_else(|| {
            let known: Vec<_> = table.steps().iter().map(|step| step.number.to_string()).collect();
            Error::malformed(
                format!("a step of {}: {}", table.name(), known.join(", ")),
                format!("--step {number}"),
            )
        })?),
        None => None,
    };
    refuse_standard_input(&args.file)?;
    let origin = origin(args);
    if args.explain && !json {
        return explained(&origin);
    }
    let noted = origin.open().map_err(|error| with_options(error, &[]))?;
    let document = CaptureDocument::new(&args.file, &noted.value, &table, asked, &noted.notes);
    let against = document.step.asked_for && document.step.placement != Some("inside");
    if json {
        print(&to_json(&Document::Capture(Box::new(document))))?;
    } else {
        print(&text(&document))?;
    }
    Ok(if against { Outcome::VerdictAgainst } else { Outcome::Done })
}

fn origin(args: &CaptureArgs) -> CaptureOrigin {
    args.channel.origin(&args.file).with_stretch_s(args.from, args.to)
}

/// How the file was understood, as far as it was; what stopped it comes after.
fn explained(origin: &CaptureOrigin) -> Result<Outcome> {
    let noted =
        read_file(&origin.file, &origin.reading).map_err(|error| with_options(error, &[]))?;
    let record = noted.value;
    let channel = record.channel(&origin.channel.column).ok();
    let opened = origin.open();
    let (parts, mut notes) = match &opened {
        Ok(opened) => (explain_recorded(&opened.value), opened.notes.clone()),
        Err(_) => (explain(&record, channel, &origin.reading, &origin.channel), noted.notes),
    };
    let mut text = format!("{}\n", origin.file.display());
    for part in parts {
        let change = part.change_with.map_or(String::new(), |option| format!(" [{option}]"));
        text += &folded(&format!("{}: {} ({}){change}", part.what, part.found, part.from), "  ");
    }
    if !notes.is_empty() {
        text += "\nNoticed\n";
    }
    for note in notes.drain(..) {
        text += &folded(&note.text, "  ");
    }
    print(&text)?;
    opened.map(|_| Outcome::Done).map_err(|error| with_options(error, &[]))
}

fn text(document: &CaptureDocument) -> String {
    let mut text = String::new();
    let understood = &document.understood;
    let _ = writeln!(text, "{}", document.file);
    let how = match (understood.separator, understood.decimal_mark) {
        (Some(separator), Some(mark)) => format!("separator {separator}, {mark}"),
        _ => understood.format.to_owned(),
    };
    let _ = writeln!(
        text,
        "  column {}{}{}, {} samples at {} Hz, {how}",
        understood.column,
        understood.column_name.as_ref().map_or(String::new(), |name| format!(" \"{name}\"")),
        understood.column_unit.as_ref().map_or(String::new(), |unit| format!(" in {unit}")),
        understood.samples,
        plain_number(understood.sample_rate_hz),
    );
    let periods = &document.periods;
    let uncertain = periods
        .frequency_standard_uncertainty_hz
        .filter(|u_hz| *u_hz > 0.0)
        .map_or(String::new(), |u_hz| format!(" (standard uncertainty {u_hz:.1e} Hz)"));
    let _ = writeln!(
        text,
        "  mains {:.4} Hz{uncertain}, {} whole periods\n  from sample {}: {:.4} s to {:.4} s \
         after the first sample\n",
        periods.frequency_hz, periods.cycles, periods.first_sample, periods.from_s, periods.to_s
    );
    text += &readings::text(&document.measures, &document.readings);
    let step = &document.step.step;
    let which = if document.step.asked_for { "asked for" } else { "the nearest" };
    let verdict = match (document.step.placement, document.step.no_verdict) {
        (Some("inside"), _) => "the true RMS is IN BAND".to_owned(),
        (Some("low"), _) => "the true RMS is LOW".to_owned(),
        (Some(_), _) => "the true RMS is HIGH".to_owned(),
        (None, why) => format!("NO VERDICT: {}", why.unwrap_or("unknown")),
    };
    text.push('\n');
    text += &folded(
        &format!(
            "Step {} ({which}), nominal {:.2} A, band {:.2} to {:.2} A: {verdict}",
            step.number, step.nominal_rms_a, step.band_low_a, step.band_high_a
        ),
        "",
    );
    text += &folded(&step.band_source, "  ");
    if let Some(remark) = &step.band_remark {
        text += &folded(remark, "  ");
    }
    if document.row_finding_count > 0 {
        let _ = writeln!(text, "\nRows ({} findings)", document.row_finding_count);
        for finding in &document.row_findings {
            text += &folded(finding, "  ");
        }
    }
    if !document.notes.is_empty() {
        text += "\nNoticed\n";
        for note in &document.notes {
            text += &folded(&note.text, "  ");
        }
    }
    text += &cautions();
    text
}

use std::fmt::Write;
use std::path::PathBuf;

use clap::Args;

use crate::description::{Description, FieldSetup};
use crate::error::{Error, Result};
use crate::report::{
    Document, FieldDocument, FieldStepPart, LoadPart, MeasuredPart, bare_amperes, percent,
    plain_number, plain_percent, ratio_as_percent, signed_watts, to_json, volts, watts,
};
use crate::series::MeasuredLoad;
use crate::units::Dimension;
use crate::waveform::TrueRms;

use super::console::{cautions, folded};
use super::outcome::Outcome;
use super::{field_csv, field_figures, quantities, regulated, table};

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  loopcrest field\n  \
                        loopcrest field bench.toml --measured 6.52A 920V\n  \
                        loopcrest field bench.toml --out field\n\n\
                        Exit code 1 when a step cannot be held or a reading is not satisfactory.")]
pub(super) struct FieldArgs {
    /// Description file with a [regulator] and a [field]; the invented example when left out
    pub(super) description: Option<PathBuf>,
    /// True-RMS current and voltage read at the output on the brightest step: what do they say?
    #[arg(long, num_args = 2, value_names = ["CURRENT", "VOLTAGE"])]
    pub(super) measured: Vec<String>,
    /// Folder for plots and numbers; none is written when left out
    #[arg(long, value_name = "FOLDER")]
    pub(super) out: Option<PathBuf>,
    /// Replace the folder named with --out if it exists
    #[arg(long, requires = "out")]
    pub(super) replace: bool,
}

/// The field: load calculation, every step solved, what a reading says.
pub(super) fn run(args: &FieldArgs, json: bool) -> Result<Outcome> {
    let file = args.description.as_deref();
    let description = regulated::description(file)?;
    let setup = regulated::setup(&description, file, None, None)?;
    let field = of(&description)?;
    let measured = measured(&args.measured)?;
    let solved = field.solve(&setup, description.steps.steps())?;
    let document = FieldDocument::new(&description, &setup, field, &solved, measured.as_ref())?;
    let text = text(&document);
    let is_satisfactory = document.is_satisfactory();
    let csv = field_csv::files(&document);
    let json_text = to_json(&Document::Field(Box::new(document)));
    let folder = regulated::write(args.out.as_ref(), args.replace, || {
        let mut files = field_figures::field(&description, &setup, field, &solved)?;
        files.push(("field.json".into(), json_text.clone().into_bytes()));
        files.extend(csv);
        Ok(files)
    })?;
    regulated::show(json, &json_text, &text, folder.as_deref())?;
    Ok(if is_satisfactory { Outcome::Done } else { Outcome::VerdictAgainst })
}

/// The description's field.
pub(super) fn of(description: &Description) -> Result<&FieldSetup> {
    description.field.as_ref().ok_or_else(|| {
        Error::inconsistent(format!("\"{}\" has no [field] on its loop", description.title))
            .with_hint("`loopcrest starter` shows how one is described")
    })
}

fn measured(words: &[String]) -> Result<Option<MeasuredLoad>> {
    let [current, voltage] = words else { return Ok(None) };
    let current_a = quantities::parse(current, Dimension::Current, "A")?;
    let voltage_v = quantities::parse(voltage, Dimension::Voltage, "V")?;
    MeasuredLoad::new(TrueRms::stated_a(current_a), voltage_v).map(Some)
}

fn text(document: &FieldDocument) -> String {
    let mut text = regulated::heading(&document.title, document.invented, &document.regulator);
    text += &load_text(&document.load);
    text += "\nEvery step with the field connected, set to its nominal true RMS\n";
    text += &current_table(&document.steps);
    text.push('\n');
    text += &power_table(&document.steps);
    if let Some(terms) = &document.solved_minus_calculated {
        text += "\nWhy the solved kVA of the brightest step is not the calculated one\n";
        for term in terms {
            let line = format!("{}: {}", signed_watts(term.difference_va, "VA"), term.words);
            text += &folded(&line, "  ");
        }
    }
    if let Some(measured) = &document.measured {
        text += &measured_text(measured);
    }
    text += "\nNoticed\n";
    for note in &document.notes {
        text += &folded(&note.text, "  ");
    }
    text += &cautions();
    text
}

fn load_text(load: &LoadPart) -> String {
    let lamps = match load.lamp_tolerance {
        "most" => ", lamps with the most their tolerance allows",
        _ => "",
    };
    let heading = format!(
        "Load calculation at {} A: watts and volt-amperes added as numbers{lamps}",
        plain_number(load.current_rms_a)
    );
    let mut text = format!("\n{}", folded(&heading, ""));
    let or_dash = |text: Option<String>| text.unwrap_or_else(|| "-".into());
    let mut rows: Vec<Vec<String>> = load
        .items
        .iter()
        .map(|item| {
            vec![
                item.name.clone(),
                item.count.to_string(),
                watts(item.each_va, "VA"),
                watts(item.apparent_va, "VA"),
                watts(item.transformer_loss_w, "W"),
                or_dash(item.spare_count.map(|count| count.to_string())),
            ]
        })
        .collect();
    rows.extend(load.cable.iter().map(|run| {
        vec![
            format!("{}, {} °C", run.name, plain_number(run.temperature_degc)),
            format!("{:.0} m", run.length_m),
            format!("{:.2} ohm", run.resistance_ohm),
            String::new(),
            watts(run.loss_w, "W"),
            or_dash(run.spare_length_m.map(|length_m| format!("{length_m:.0} m"))),
        ]
    }));
    let header = ["item", "count", "each", "all", "loss", "still fit"];
    for line in table::lines(&header, &rows, &[1, 2, 3, 4, 5], 0) {
        let _ = writeln!(text, " {line}");
    }
    let _ = writeln!(
        text,
        "\n  lamps {}, transformers {}, cable {}, electronics {}",
        watts(load.lamp_w, "W"),
        watts(load.transformer_loss_w, "W"),
        watts(load.cable_loss_w, "W"),
        watts(load.electronic_va, "VA")
    );
    let _ = writeln!(
        text,
        "  together {} and {}: {} of the rating of {} ({})",
        watts(load.apparent_va, "VA"),
        volts(load.voltage_rms_v),
        plain_percent(load.share_of_rating_ratio),
        watts(load.rated_va, "VA"),
        volts(load.rated_voltage_rms_v)
    );
    let smallest = load.smallest_tap_ratio.map_or_else(
        || "no usual tap carries it".to_owned(),
        |tap| format!("the smallest usual tap that carries it is {}", ratio_as_percent(tap)),
    );
    let line = format!(
        "{} of the output tap of {}; {smallest}",
        plain_percent(load.share_of_tap_ratio),
        ratio_as_percent(load.tap_ratio)
    );
    text += &folded(&line, "  ");
    match (load.active_w, load.phasor_va, load.power_factor) {
        (Some(active_w), Some(phasor_va), Some(power_factor)) => {
            let _ = writeln!(
                text,
                "  active {}, as phasors of a sine {}, power factor {power_factor:.3}",
                watts(active_w, "W"),
                watts(phasor_va, "VA")
            );
        }
        _ => text += "  active power and power factor: unknown, an item has no power factor\n",
    }
    let size = load.smallest_size_va.map_or_else(
        || "no regulator on offer carries this load".to_owned(),
        |size_va| format!("smallest regulator that carries it: {}", watts(size_va, "VA")),
    );
    text += &folded(&format!("{size} ({})", load.sizes_source), "  ");
    text
}

fn current_table(steps: &[FieldStepPart]) -> String {
    let header = ["step", "A", "delay", "peak A", "crest", "form", "THD", "average", "state"];
    let rows: Vec<Vec<String>> = steps.iter().map(current_row).collect();
    lines(&header, &rows)
}

fn current_row(step: &FieldStepPart) -> Vec<String> {
    let mut row = vec![step.step.to_string(), plain_number(step.nominal_rms_a)];
    match &step.solved {
        Some(point) => row.extend([
            format!("{:.2}°", point.delay_deg),
            bare_amperes(point.output_peak_a),
            factor(point.crest_factor),
            factor(point.form_factor),
            point.thd_ratio.map_or_else(|| "-".into(), plain_percent),
            percent(point.average_error_ratio),
            point.stability.to_owned(),
        ]),
        None => {
            row.extend(["-"; 6].map(str::to_owned));
            row.push(not_held(step));
        }
    }
    row
}

fn power_table(steps: &[FieldStepPart]) -> String {
    let header = [
        "step",
        "V RMS",
        "V peak",
        "open V peak",
        "apparent",
        "active",
        "reactive",
        "distort.",
        "PF",
    ];
    let rows: Vec<Vec<String>> = steps
        .iter()
        .map(|step| match &step.solved {
            Some(point) => vec![
                step.step.to_string(),
                format!("{:.1}", point.output_rms_v),
                format!("{:.1}", point.output_peak_v),
                point.open_secondary_peak_v.map_or_else(|| "-".into(), |v| format!("{v:.1}")),
                watts(point.apparent_va, "VA"),
                watts(point.active_w, "W"),
                watts(point.fundamental_reactive_var, "var"),
                watts(point.distortion_va, "VA"),
                factor(point.power_factor),
            ],
            None => {
                let mut row = vec![step.step.to_string()];
                row.extend(["-"; 8].map(str::to_owned));
                row
            }
        })
        .collect();
    lines(&header, &rows)
}

fn lines(header: &[&str], rows: &[Vec<String>]) -> String {
    let right: Vec<usize> = (0..8).collect();
    let mut text = String::new();
    for line in table::lines(header, rows, &right, 8) {
        let _ = writeln!(text, "{line}");
    }
    text
}

/// Why a step has no solution to show.
fn not_held(step: &FieldStepPart) -> String {
    match (step.limit, step.limit_a, &step.failure) {
        (Some(limit), Some(limit_a), _) => format!("{limit} {}", bare_amperes(limit_a)),
        (_, _, Some(failure)) => failure.clone(),
        _ => "not held".into(),
    }
}

fn factor(value: Option<f64>) -> String {
    value.map_or_else(|| "-".into(), |value| format!("{value:.4}"))
}

fn measured_text(measured: &MeasuredPart) -> String {
    let mut text = String::from("\nRead at the output on the brightest step (taken as true RMS)\n");
    let _ = writeln!(
        text,
        "  {} A, {}: {}, {} of the calculated load",
        bare_amperes(measured.current_rms_a),
        volts(measured.voltage_rms_v),
        watts(measured.apparent_va, "VA"),
        plain_percent(measured.share_of_calculated_ratio)
    );
    let _ = writeln!(
        text,
        "  {} of the rating, {} of the tap",
        plain_percent(measured.share_of_rating_ratio),
        plain_percent(measured.share_of_tap_ratio)
    );
    text += &folded(measured.words, "  ");
    text += &folded(
        &format!(
            "Below {} of the calculated load a part counts as bridged, above {} something as not \
             calculated: thresholds of ours.",
            ratio_as_percent(measured.short_below_ratio),
            ratio_as_percent(measured.more_above_ratio)
        ),
        "  ",
    );
    text
}

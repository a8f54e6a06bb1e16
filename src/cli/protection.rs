use std::fmt::Write;
use std::path::PathBuf;

use clap::Args;

use crate::description::Description;
use crate::error::Result;
use crate::report::{
    Document, ProtectionDocument, SetPointPart, TimeLimitPart, TrialPart, TripCurvePart, amperes,
    bare_amperes, bare_percent, bare_share, percent, ratio_as_exact_percent as share,
    ratio_as_percent, to_json,
};

use super::console::{cautions, folded};
use super::instruments::{FolderArgs, TermsArgs, meters, ready};
use super::outcome::Outcome;
use super::quantities::ratio;
use super::{figures, regulated, table};

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  loopcrest protection\n  \
                        loopcrest protection bench.toml --meter general-true-rms-clamp\n  \
                        loopcrest protection --load 80% --step 3 --out protection")]
pub(super) struct ProtectionArgs {
    /// Description file with a [regulator]; the invented example when left out
    pub(super) description: Option<PathBuf>,
    /// Meter of the description, or an archetype (may be given several times); all when left out
    #[arg(long, value_name = "METER")]
    pub(super) meter: Vec<String>,
    /// Load of service as a share of the rated load resistance; the description's `recheck-load` when
    /// left out
    #[arg(long, value_parser = ratio)]
    pub(super) load: Option<f64>,
    /// Brightness step held before anything happens; the brightest when left out
    #[arg(long)]
    pub(super) step: Option<u32>,
    /// End with exit code 1 unless every time lies inside its limits
    #[arg(long)]
    pub(super) require: bool,
    #[command(flatten)]
    pub(super) terms: TermsArgs,
    #[command(flatten)]
    pub(super) folder: FolderArgs,
}

/// The protection of the output: set-points as set and as shown, times to trip against their limits.
pub(super) fn run(args: &ProtectionArgs, json: bool) -> Result<Outcome> {
    let file = args.description.as_deref();
    let description: Description = regulated::description(file)?;
    let setup = regulated::setup(&description, file, None, None)?;
    let target_a = regulated::nominal_a(&description, args.step)?;
    let terms = args.terms.terms()?;
    let chosen = meters(&description, file, &args.meter)?;
    let instruments = ready(&chosen, description.frequency_hz, &terms)?;
    let field_ratio = args.load.or(setup.recheck_load_ratio);
    let study =
        description.protection_study(&setup, target_a, field_ratio, &instruments, &terms)?;
    let document = ProtectionDocument::new(&description, &setup, target_a, &study);
    let is_inside = document.is_inside();
    let text = text(&document);
    let json_text = to_json(&Document::Protection(Box::new(document)));
    let folder = regulated::write(args.folder.out.as_ref(), args.folder.replace, || {
        let mut files = figures::protection(&setup, &study, target_a)?;
        files.push(("protection.json".into(), json_text.clone().into_bytes()));
        Ok(files)
    })?;
    regulated::show(json, &json_text, &text, folder.as_deref())?;
    Ok(if args.require && !is_inside { Outcome::VerdictAgainst } else { Outcome::Done })
}

fn text(document: &ProtectionDocument) -> String {
    let mut text = regulated::heading(&document.title, document.invented, &document.regulator);
    text += &folded(
        &format!(
            "protection: {} detector, window {} half cycles, reset {}; multiples count from {}",
            document.detector_words,
            document.window_half_cycles,
            document.reset.replace('-', " "),
            amperes(document.rated_rms_a)
        ),
        "",
    );
    text += &settings(document);
    text += "\nBEFORE IT IS TRIED: SHORT THE OUTPUT\n";
    text += &folded(&document.why_shorted, "  ");
    for point in &document.set_points {
        text += &set_point(point);
    }
    text += &fooled(document);
    text += &trials(document);
    text += &curves(&document.curves);
    text += "\nNoticed\n";
    for note in &document.notes {
        text += &folded(&note.text, "  ");
    }
    text += "\nHow it is tried\n";
    for (number, step) in (1..).zip(&document.procedure) {
        text += &folded(&format!("{number}. {step}"), "  ");
    }
    text += &cautions();
    text
}

fn times(limit: &TimeLimitPart) -> String {
    match (limit.shortest_s, limit.longest_s) {
        (Some(shortest_s), Some(longest_s)) => format!("{shortest_s} to {longest_s} s"),
        (Some(shortest_s), None) => format!("{shortest_s} s or more"),
        (None, Some(longest_s)) => format!("{longest_s} s or less"),
        (None, None) => "-".into(),
    }
}

fn settings(document: &ProtectionDocument) -> String {
    let none = || "-".to_owned();
    let mut rows: Vec<Vec<String>> = document
        .stages
        .iter()
        .map(|stage| {
            vec![
                format!("overcurrent {}", stage.stage),
                format!("{} ({})", amperes(stage.set_rms_a), share(stage.pickup_ratio)),
                format!("{} s", stage.delay_s),
                stage.tried_ratio.map_or_else(none, share),
                stage.limit.as_ref().map_or_else(none, times),
            ]
        })
        .collect();
    rows.extend(document.open_circuit.as_ref().map(|open| {
        vec![
            "open circuit".to_owned(),
            format!("< {} ({})", amperes(open.below_rms_a), share(open.below_ratio)),
            format!("{} s", open.delay_s),
            "open".to_owned(),
            open.limit.as_ref().map_or_else(none, times),
        ]
    }));
    let mut text = String::from("\n");
    let header = ["stage", "set-point, true RMS", "delay", "tried at", "allowed"];
    for line in table::lines(&header, &rows, &[1, 2, 3, 4], 0) {
        let _ = writeln!(text, " {line}");
    }
    let limits = document.stages.iter().filter_map(|stage| stage.limit.as_ref());
    let open = document.open_circuit.iter().filter_map(|open| open.limit.as_ref());
    for limit in limits.chain(open) {
        text += &folded(&format!("allowed {}: {}", times(limit), limit.source), "  ");
    }
    text
}

fn set_point(point: &SetPointPart) -> String {
    let mut text = format!(
        "\nSET-POINT of stage {}: {} true RMS, output shorted\n",
        point.stage,
        amperes(point.set_rms_a)
    );
    if let (Some(low_a), Some(high_a)) = (point.room_low_a, point.room_high_a) {
        let line = format!(
            "has to lie above {} (the brightest step's band) and below {} (where the times are asked \
             for)",
            amperes(low_a),
            amperes(high_a)
        );
        text += &folded(&line, "  ");
    }
    if let Some(highest_a) = point.highest_rms_a {
        let line = format!(
            "this regulator does not come there by itself: its highest current is {}; the shape is that \
             of the highest",
            amperes(highest_a)
        );
        text += &folded(&line, "  ");
    }
    let rows: Vec<Vec<String>> = point
        .readings
        .iter()
        .map(|reading| {
            vec![
                reading.meter.clone(),
                reading.shown_a.map_or("OVERLOAD".into(), amperes),
                reading.error_ratio.map_or("-".into(), bare_percent),
                reading.expanded_uncertainty_a.map_or("-".into(), |u_a| format!("{u_a:.3}")),
                reading.indication.to_owned(),
            ]
        })
        .collect();
    let header = ["meter", "shows", "error %", "known to ± A", "what it stands for"];
    for line in table::lines(&header, &rows, &[1, 2, 3], 0) {
        let _ = writeln!(text, " {line}");
    }
    if point.readings.iter().any(|reading| !reading.is_true_rms) {
        let line = format!(
            "A number that does not stand for true RMS {}.",
            crate::assess::instrument::CorrectedDisplay::WARNING
        );
        text += &folded(&line, "  ");
    }
    text
}

fn fooled(document: &ProtectionDocument) -> String {
    if document.fooled_detectors.is_empty() {
        return String::new();
    }
    let mut text =
        String::from("\nDETECTORS THE SHAPE FOOLS: true RMS at which they act instead\n");
    let rows: Vec<Vec<String>> = document
        .fooled_detectors
        .iter()
        .map(|part| {
            vec![
                part.stage.to_string(),
                part.current.clone(),
                format!("{}{}", part.detector, if part.is_described { " *" } else { "" }),
                bare_amperes(part.by_dial_rms_a),
                bare_percent(part.by_dial_ratio),
                bare_amperes(part.by_trial_rms_a),
                bare_percent(part.by_trial_ratio),
            ]
        })
        .collect();
    let header = ["stage", "current", "detector", "by dial A", "%", "by trial A", "%"];
    for line in table::lines(&header, &rows, &[0, 3, 4, 5, 6], 1) {
        let _ = writeln!(text, " {line}");
    }
    let marked = document.most_fooled().map_or(String::new(), |part| {
        format!(" * the detector described: off by up to {}.", percent(part.by_dial_ratio))
    });
    text += &folded(
        &format!(
            "By dial: set to the number, its scale that of a sine. By trial: set with the output shorted \
             and a true-RMS meter.{marked}"
        ),
        "  ",
    );
    text
}

fn trials(document: &ProtectionDocument) -> String {
    let mut text = format!(
        "\nTRIALS in time on the model with its control, {} held before\n",
        amperes(document.before_rms_a)
    );
    let rows: Vec<Vec<String>> = document.trials.iter().map(trial_row).collect();
    let header = ["load %", "what happens", "acts after", "allowed", "verdict", "high %", "over s"];
    for line in table::lines(&header, &rows, &[0, 2, 3, 5, 6], 1) {
        let _ = writeln!(text, " {line}");
    }
    text += &folded(
        "high: highest RMS of a half cycle over rated current; over: how long half cycles lay at or \
         above the lowest pick-up",
        "  ",
    );
    for trial in &document.trials {
        if let Some(peak_v) = trial.output_peak_v {
            let line = format!(
                "{}: after a first spike the output voltage peaks at {peak_v:.0} V in the model until the \
                 protection acts",
                trial.words
            );
            text += &folded(&line, "  ");
        }
    }
    text
}

fn trial_row(trial: &TrialPart) -> Vec<String> {
    vec![
        bare_share(trial.load_ratio),
        trial.words.clone(),
        trial.time_to_trip_s.map_or_else(
            || format!("not in {:.0} s", trial.watched_s),
            |time_s| format!("{time_s:.3} s"),
        ),
        trial.limit.as_ref().map_or_else(|| "-".into(), times),
        trial.verdict_words.unwrap_or("-").to_owned(),
        bare_share(trial.highest_half_cycle_ratio),
        format!("{:.3}", trial.above_pickup_s),
    ]
}

fn curves(curves: &[TripCurvePart]) -> String {
    let Some(first) = curves.first() else { return String::new() };
    let mut text = String::from("\nTIME TO TRIP in s against multiple of rated current\n");
    let or = |time_s: Option<f64>, none: &str| {
        time_s.map_or_else(|| none.to_owned(), |time_s| format!("{time_s:.3}"))
    };
    let rows: Vec<Vec<String>> = (0..first.points.len())
        .map(|at| {
            let mut row = vec![share(first.points[at].ratio)];
            for point in curves.iter().filter_map(|curve| curve.points.get(at)) {
                row.push(or(point.steady_s, "never"));
                row.push(match point.reached_ratio {
                    None => "-".to_owned(),
                    Some(_) if point.is_there => or(point.simulated_s, "never"),
                    Some(reached) => format!("went to {}", ratio_as_percent(reached)),
                });
            }
            row
        })
        .collect();
    let mut header = vec!["multiple".to_owned()];
    for curve in curves {
        header.push(format!("{} load, at once", ratio_as_percent(curve.load_ratio)));
        header.push("simulated".to_owned());
    }
    let header: Vec<&str> = header.iter().map(String::as_str).collect();
    let right: Vec<usize> = (0..header.len()).collect();
    for line in table::lines(&header, &rows, &right, 0) {
        let _ = writeln!(text, " {line}");
    }
    text += &folded(
        "at once: closed form for a current that jumps there; simulated: a control fault, the current \
         rising as the model lets it; -: no stable state of the model there; went to: the current did \
         not come to the multiple but lay there at the end, so there is no time",
        "  ",
    );
    text
}

use std::fmt::Write;

use crate::description::RegulatorSetup;
use crate::error::{Error, Result};
use crate::regulator::{LoopEvent, LoopRun, LoopScenario, LoopStart, ResonantRegulator};
use crate::report::{
    Document, HalfCyclePart, TransientDocument, amperes, bare_amperes, plain_percent,
    ratio_as_percent, to_json,
};

use super::args::TransientArgs;
use super::console::folded;
use super::outcome::Outcome;
use super::{regulated, table};

/// Samples of the current kept in each half cycle.
const SAMPLES_PER_HALF_CYCLE: usize = 128;
/// Half cycles in the table on the terminal; the folder holds all of them.
const ROWS: usize = 24;

/// The regulator in time, its control closed: a step change, a load change, a start.
pub(super) fn run(args: &TransientArgs, json: bool) -> Result<Outcome> {
    let file = args.description.as_deref();
    let description = regulated::description(file)?;
    let setup = regulated::setup(&description, file, args.load, args.sense)?;
    let target_a = regulated::nominal_a(&description, args.step)?;
    let (events, change) =
        events(args, &setup, |step| regulated::nominal_a(&description, Some(step)))?;
    let begin = if args.start_up {
        LoopStart::AtRest { delay_rad: ResonantRegulator::DELAY_RAD.min }
    } else {
        LoopStart::AtOperatingPoint
    };
    let change_at_s = if args.start_up { 0.0 } else { args.at };
    let scenario = LoopScenario {
        load: Box::new(setup.load(setup.load_ratio)?),
        target_a,
        begin,
        duration_s: args.duration,
        events,
        samples_per_half_cycle: SAMPLES_PER_HALF_CYCLE,
    };
    let run = setup.run(scenario)?;
    let document = TransientDocument::new(&description, &setup, change, change_at_s, &run);
    let text = text(&document);
    let json_text = to_json(&Document::Transient(Box::new(document)));
    let folder = regulated::write(args.out.as_ref(), args.replace, || {
        Ok(vec![
            ("transient.json".into(), json_text.clone().into_bytes()),
            ("current.csv".into(), current_csv(&run).into_bytes()),
            ("half-cycles.csv".into(), half_cycles_csv(&run).into_bytes()),
        ])
    })?;
    regulated::show(json, &json_text, &text, folder.as_deref())?;
    Ok(Outcome::Done)
}

/// What happens in the run, and in words.
fn events(
    args: &TransientArgs,
    setup: &RegulatorSetup,
    nominal_a: impl Fn(u32) -> Result<f64>,
) -> Result<(Vec<(f64, LoopEvent)>, String)> {
    let mut events = Vec::new();
    let mut words = Vec::new();
    if args.start_up {
        words.push("switched on from rest".to_owned());
    }
    if let Some(step) = args.then_step {
        let target_a = nominal_a(step)?;
        events.push((args.at, LoopEvent::Target { target_a }));
        words.push(format!("step {step} ({}) chosen", amperes(target_a)));
    }
    if let Some(ratio) = args.then_load {
        events.push((args.at, LoopEvent::Load(Box::new(setup.load(ratio)?))));
        words.push(format!("load to {} of rated", ratio_as_percent(ratio)));
    }
    if let Some(ratio) = args.then_voltage {
        events.push((args.at, LoopEvent::SupplyVoltage { voltage_ratio: ratio }));
        words.push(format!("supply to {} of rated", ratio_as_percent(ratio)));
    }
    if words.is_empty() {
        return Err(Error::inconsistent("nothing happens in this run")
            .with_hint("add --then-step, --then-load, --then-voltage or --start-up"));
    }
    Ok((events, words.join(", ")))
}

fn current_csv(run: &LoopRun) -> String {
    let mut text = String::from("time_s,output_current_a\n");
    for (time_s, current_a) in run.times_s.iter().zip(&run.current_a) {
        let _ = writeln!(text, "{time_s:.7},{current_a:.6}");
    }
    text
}

fn half_cycles_csv(run: &LoopRun) -> String {
    let mut text =
        String::from("time_s,half_cycle_rms_a,cycle_rms_a,sensed_a,peak_a,target_a,delay_deg\n");
    for half in run.half_cycles.iter().map(HalfCyclePart::from) {
        let or_empty = |value: Option<f64>| value.map_or(String::new(), |a| format!("{a:.6}"));
        let _ = writeln!(
            text,
            "{:.7},{:.6},{},{},{:.6},{:.6},{:.5}",
            half.time_s,
            half.half_cycle_rms_a,
            or_empty(half.cycle_rms_a),
            or_empty(half.sensed_a),
            half.peak_a,
            half.target_a,
            half.delay_deg
        );
    }
    text
}

fn text(document: &TransientDocument) -> String {
    let mut text = regulated::heading(&document.title, document.invented, &document.regulator);
    let _ = writeln!(
        text,
        "at {:.3} s: {}; the control senses {}\n",
        document.change_at_s, document.change, document.control_senses
    );
    let shown = document.half_cycles.iter().filter(|half| half.time_s > document.change_at_s);
    let rows: Vec<Vec<String>> = shown
        .take(ROWS)
        .map(|half| {
            vec![
                format!("{:.4}", half.time_s),
                bare_amperes(half.half_cycle_rms_a),
                half.cycle_rms_a.map_or("-".into(), bare_amperes),
                bare_amperes(half.peak_a),
                bare_amperes(half.target_a),
                format!("{:.2}°", half.delay_deg),
            ]
        })
        .collect();
    let header = ["time s", "half-cycle RMS A", "cycle RMS A", "peak A", "target A", "delay"];
    for line in table::lines(&header, &rows, &[0, 1, 2, 3, 4, 5], 0) {
        let _ = writeln!(text, " {line}");
    }
    let within = plain_percent(document.settled_within_ratio);
    let settled = document.settled_after_s.map_or_else(
        || format!("not within {within} of the target by the end"),
        |settled_s| format!("within {within} of the target for good after {settled_s:.3} s"),
    );
    let or_none = |value: Option<f64>| value.map_or("none".into(), amperes);
    text.push('\n');
    text += &folded(
        &format!(
            "{settled}; highest RMS of a cycle {}, highest peak {}",
            or_none(document.highest_cycle_rms_a),
            or_none(document.highest_peak_a)
        ),
        "  ",
    );
    text += &folded(
        "A generic model with gains of our own: the course of a real regulator differs.",
        "  ",
    );
    text
}

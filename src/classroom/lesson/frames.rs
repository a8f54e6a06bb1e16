//! The frames of a slider.

use std::sync::Arc;

use rayon::prelude::*;

use crate::description::Description;
use crate::error::Result;
use crate::regulator::ReachSide;
use crate::report::amperes;
use crate::situation::{MeterSeen, Output, Seen, Situation, SituationSolver};

use super::plan::SliderPlan;
use super::{Quantity, Slider, SliderAxis, SliderFrame, SliderReading, Words};

/// Every setting computed, the settings of one step and load in a row from one another, the rows side by side.
pub(super) fn slider(
    description: &Arc<Description>,
    name: &str,
    plan: &SliderPlan,
    count: &(dyn Fn() + Sync),
) -> Result<Slider> {
    let loads = plan.loads.iter().map(|(output, _)| *output);
    let rows: Vec<(Option<u32>, Output)> = plan
        .steps
        .iter()
        .flat_map(|step| loads.clone().map(move |output| (*step, output)))
        .collect();
    let solved: Vec<Result<Vec<Seen>>> = rows
        .par_iter()
        .map(|(step, output)| {
            let mut solver = SituationSolver::new(Arc::clone(description));
            let seen = |lamps_out_ratio: &Option<f64>| {
                let situation = Situation {
                    step: *step,
                    output: *output,
                    lamps_out_ratio: *lamps_out_ratio,
                    ..plan.base.clone()
                };
                count();
                solver.seen(&situation)
            };
            plan.lamps_out.iter().map(seen).collect()
        })
        .collect();
    let mut all = Vec::with_capacity(plan.frames());
    for row in solved {
        all.extend(row?);
    }
    let peak_a = all.iter().map(|seen| seen.measures.dc.peak_a).fold(0.0, f64::max);
    let first = all.first();
    let said: Vec<Vec<String>> = all.iter().map(said).collect();
    let mut notes = said.first().cloned().unwrap_or_default();
    notes.retain(|note| said.iter().all(|of_frame| of_frame.contains(note)));
    let circuit = named(&Slider::CIRCUIT)?;
    let meter = named(&Slider::METER)?;
    let invented = if description.is_invented { "invented circuit, " } else { "" };
    let words = first.map_or_else(String::new, |seen| seen.words.clone());
    Ok(Slider {
        name: name.to_owned(),
        title: Words::of(&plan.title),
        axes: axes(description, plan)?,
        meters: first.map_or_else(Vec::new, |seen| {
            seen.meters.iter().map(|meter| meter.meter.name.clone()).collect()
        }),
        scale_a: scale(peak_a),
        period_s: first.map_or(f64::NAN, |seen| 1.0 / seen.output.frequency_hz()),
        origin: format!("{invented}{}", words.split(',').next().unwrap_or_default()),
        frames: all
            .iter()
            .zip(said)
            .map(|(seen, said)| {
                let own = said.into_iter().filter(|note| !notes.contains(note)).collect();
                frame(seen, own, &circuit, &meter)
            })
            .collect(),
        notes,
    })
}

fn named(names: &[&str]) -> Result<Vec<&'static Quantity>> {
    names.iter().map(|name| Quantity::named(name)).collect()
}

fn axes(description: &Description, plan: &SliderPlan) -> Result<Vec<SliderAxis>> {
    let step = |step: &Option<u32>| {
        let situation = Situation { step: *step, ..Situation::default() };
        let step = situation.step_of(description)?;
        Ok(format!("{}: {:.1} A", step.number, step.nominal.a()))
    };
    let lamps = |ratio: &Option<f64>| match ratio {
        Some(ratio) => format!("{} %", (1e4 * ratio).round() / 1e2),
        None => SliderAxis::AS_DESCRIBED.into(),
    };
    Ok(vec![
        SliderAxis {
            key: "step",
            words: "Brightness step",
            settings: plan.steps.iter().map(step).collect::<Result<_>>()?,
        },
        SliderAxis {
            key: "load",
            words: "Load",
            settings: plan.loads.iter().map(|(_, words)| words.clone()).collect(),
        },
        SliderAxis {
            key: "lamps-out",
            words: "Lamps out",
            settings: plan.lamps_out.iter().map(lamps).collect(),
        },
    ])
}

/// What has to be said about a setting, each once.
fn said(seen: &Seen) -> Vec<String> {
    let mut said: Vec<String> = Vec::new();
    for note in &seen.notes {
        // What is out of reach is said by itself.
        if note.code != "out-of-reach" && !said.contains(&note.text) {
            said.push(note.text.clone());
        }
    }
    said
}

fn frame(
    seen: &Seen,
    notes: Vec<String>,
    circuit: &[&Quantity],
    meter: &[&Quantity],
) -> SliderFrame {
    let nominal_a = seen.step.nominal.a();
    let shown = |quantity: &Quantity, at: usize| {
        quantity.try_shown(seen, at, None).unwrap_or_else(|| "-".into())
    };
    let reading = |(at, read): (usize, &MeterSeen)| SliderReading {
        shown: meter.iter().map(|quantity| shown(quantity, at)).collect(),
        reason: read.reason(&seen.step),
        trimmed_ratio: read
            .judgement
            .as_ref()
            .and_then(|judgement| judgement.trimmed)
            .map(|trimmed| trimmed.true_rms.a() / nominal_a - 1.0),
    };
    let band = &seen.step.band;
    SliderFrame {
        circuit: circuit.iter().map(|quantity| shown(quantity, 0)).collect(),
        current_a: seen.screen_points_a(Slider::INTERVALS),
        true_rms_a: seen.true_rms_a(),
        band_ratio: (band.low_a() / nominal_a - 1.0, band.high_a() / nominal_a - 1.0),
        held_words: seen.reach.map_or_else(String::new, |reach| {
            let side = match reach.side {
                ReachSide::AboveHighest => "highest",
                ReachSide::BelowLowest => "lowest",
            };
            format!("Out of reach: the {side} current here is {}, shown", amperes(reach.limit_a))
        }),
        notes,
        meters: seen.meters.iter().enumerate().map(reading).collect(),
    }
}

/// The next round number above a peak.
fn scale(peak_a: f64) -> f64 {
    const ROUND: [f64; 9] = [1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0];
    let decade = 10_f64.powf(peak_a.max(1e-9).log10().floor());
    let found = ROUND.iter().map(|round| round * decade).find(|scale| *scale >= peak_a);
    found.unwrap_or(10.0 * decade)
}

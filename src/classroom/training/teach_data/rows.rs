//! Rows of currents that are leafed through: from a short to full load, and as lamps go out.

use rayon::prelude::*;

use crate::assess::StepCase;
use crate::classroom::training::{TrainingCircuit, parameter};
use crate::error::Result;
use crate::plot::{Figure, frame_figure};
use crate::regulator::Step;
use crate::waveform::Coupling;

/// Pictures from a short to full load.
const LOADS: usize = 21;
/// Pictures from every lamp lit to the largest share out.
const SHARES: usize = 11;
/// Largest share of lamps out.
const MOST_OPEN_RATIO: f64 = 0.2;

/// The step from a short to full load.
pub(super) fn over_load(circuit: &TrainingCircuit, step: &Step) -> Result<Vec<Figure>> {
    let shorted = circuit.shorted_ratio();
    let part = |k: usize| k as f64 / (LOADS - 1) as f64;
    let solved: Vec<Result<(String, StepCase)>> = (0..LOADS)
        .into_par_iter()
        .map(|k| {
            let load_ratio = part(k).max(shorted);
            Ok((circuit.load_words(load_ratio), circuit.case(step, load_ratio)?))
        })
        .collect();
    figures(circuit, solved.into_iter().collect::<Result<_>>()?)
}

/// The step on the field as lamps go out.
pub(super) fn over_lamps(circuit: &TrainingCircuit, step: &Step) -> Result<Vec<Figure>> {
    let mut last = None;
    let mut cases = Vec::new();
    for k in 0..SHARES {
        let open_ratio = MOST_OPEN_RATIO * k as f64 / (SHARES - 1) as f64;
        let point = circuit.with_lamps_out(step, open_ratio, last.as_ref())?;
        let waveform = point
            .operating
            .output
            .scaled_to_rms(step.nominal.a(), Coupling::Dc)?
            .from_rising_zero();
        let name = match k {
            0 => "every lamp lit".to_owned(),
            _ => format!("{}\u{a0}% of lamps out", parameter::percent(open_ratio)),
        };
        cases.push((name, StepCase { step: step.clone(), waveform, origin: circuit.origin() }));
        last = Some(point);
    }
    figures(circuit, cases)
}

fn figures(circuit: &TrainingCircuit, cases: Vec<(String, StepCase)>) -> Result<Vec<Figure>> {
    let peaks_a = cases.iter().map(|(_, case)| case.waveform.measures().dc.peak_a);
    let peak_a = peaks_a.fold(0.0, f64::max);
    // Room above for what is written there.
    let end_a = (1.45 * peak_a).ceil();
    let origin = circuit.origin();
    Ok(cases.iter().map(|(name, case)| frame_figure(case, name, end_a, &origin)).collect())
}

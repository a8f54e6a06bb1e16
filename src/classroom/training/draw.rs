//! Which figure is drawn from which numbers.

use rayon::prelude::*;

use crate::assess::{StepCase, StepResult};
use crate::error::Result;
use crate::plot::{
    Figure, GridRow, NamedPoint, ProtectionTimes, contrast_figure, current_figure,
    lamp_power_figure, lamps_out_voltage_figure, protection_times_figure, same_thd_figure,
    sign_change_figure, steps_and_loads_figure,
};
use crate::regulator::protection::TripCurve;
use crate::regulator::{LoadCurve, Step};

use super::figures::{bandwidth, crest_limit, drift, light_and_life, range_bottom, same_thd};
use super::options::Chosen;
use super::{TrainingCircuit, TrainingFigure};

/// Loads in a curve.
const LOADS: usize = 41;
/// Loads beside the short.
const HALF_AND_FULL: [f64; 2] = [0.5, 1.0];

pub(super) fn figure(
    which: TrainingFigure,
    circuit: &TrainingCircuit,
    chosen: &Chosen,
) -> Result<Figure> {
    let step = chosen.step_of(&circuit.description.steps)?;
    match which {
        TrainingFigure::WhyRms => {
            Ok(lamp_power_figure(&circuit.case(step, chosen.load_ratio)?, &circuit.lamp))
        }
        TrainingFigure::ThreeDetectors => three_detectors(circuit, step, chosen.load_ratio),
        TrainingFigure::SameThd => {
            let rated_a = circuit.description.rated().a();
            let frequency_hz = circuit.description.frequency_hz;
            Ok(same_thd_figure(&same_thd::cases(chosen.thd_ratio, rated_a, frequency_hz)?))
        }
        TrainingFigure::SignChange => {
            let regulator = &circuit.regulator;
            let loads = LoadCurve::even_ratios(LOADS);
            let options = regulator.options();
            let curves = LoadCurve::of(&regulator.regulator, circuit.steps(), &loads, &options)?;
            Ok(sign_change_figure(&curves, &circuit.origin()))
        }
        TrainingFigure::LampsOut => {
            let most = chosen.lamps_out_ratio;
            let mut points = Vec::new();
            for open_ratio in [0.0, 0.5 * most, most] {
                let start = points.last().map(|(_, point)| point);
                points.push((open_ratio, circuit.with_lamps_out(step, open_ratio, start)?));
            }
            lamps_out_voltage_figure(step, &points, &circuit.origin())
        }
        TrainingFigure::StepsAndLoads => steps_and_loads(circuit),
        TrainingFigure::CrestLimit => {
            crest_limit::figure(circuit, chosen.meter, chosen.lamps_out_ratio)
        }
        TrainingFigure::Bandwidth => bandwidth::figure(circuit, step, chosen.load_ratio),
        TrainingFigure::RangeBottom => range_bottom::figure(circuit, chosen.meter),
        TrainingFigure::LightAndLife => light_and_life::figure(circuit, chosen.load_ratio),
        TrainingFigure::Drift => drift::figure(circuit, chosen.probability),
        TrainingFigure::Sources => sources(circuit, step, chosen.load_ratio),
        TrainingFigure::Protection => protection(circuit, chosen.load_ratio),
    }
}

fn steps_and_loads(circuit: &TrainingCircuit) -> Result<Figure> {
    let loads: Vec<f64> = [circuit.shorted_ratio()].into_iter().chain(HALF_AND_FULL).collect();
    let cells: Vec<(f64, &Step)> = loads
        .iter()
        .flat_map(|load| circuit.steps().iter().rev().map(move |step| (*load, step)))
        .collect();
    let solved: Vec<Result<StepCase>> =
        cells.par_iter().map(|(load, step)| circuit.case(step, *load)).collect();
    let mut solved = solved.into_iter();
    let mut rows = Vec::new();
    for load in loads {
        let cells = solved.by_ref().take(circuit.steps().len()).collect::<Result<_>>()?;
        let full = (load - 1.0).abs() < 1e-9;
        let load = if full { "full load".into() } else { circuit.load_words(load) };
        rows.push(GridRow { load, cells });
    }
    Ok(steps_and_loads_figure(&rows, &circuit.origin()))
}

fn three_detectors(circuit: &TrainingCircuit, step: &Step, load_ratio: f64) -> Result<Figure> {
    let case = circuit.case(step, load_ratio)?;
    let description = &circuit.description;
    let rated = description.rated();
    let result = StepResult::new(&case, &description.meters, &description.lamp, rated)?;
    Ok(current_figure(&case, &result))
}

fn sources(circuit: &TrainingCircuit, step: &Step, load_ratio: f64) -> Result<Figure> {
    let mut setup = circuit.regulator.clone();
    setup.load_ratio = load_ratio;
    let points = setup.contrast(step.nominal.a())?;
    let named: Vec<NamedPoint<'_>> =
        points.iter().map(|(name, point)| NamedPoint { name, point }).collect();
    let setting = format!("step {}, {}", step.number, circuit.load_words(load_ratio));
    let origin = format!("{}; phase-cut and sine ideal", circuit.origin());
    Ok(contrast_figure(&named, &setting, &origin))
}

fn protection(circuit: &TrainingCircuit, load_ratio: f64) -> Result<Figure> {
    let top_a = circuit.description.steps.top().nominal.a();
    let setup = &circuit.regulator;
    let ratios = setup.protection.curve_ratios();
    let mut loads = vec![circuit.shorted_ratio()];
    if load_ratio > circuit.shorted_ratio() {
        loads.push(load_ratio);
    }
    let mut curves = Vec::new();
    for load_ratio in loads {
        curves.push(TripCurve::of(&setup.bench(load_ratio, top_a)?, &ratios)?);
    }
    let times = ProtectionTimes::of(&setup.bench(circuit.shorted_ratio(), top_a)?, &curves);
    Ok(protection_times_figure(&times, &circuit.origin()))
}

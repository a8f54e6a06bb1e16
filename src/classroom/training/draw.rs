//! Which figure is drawn from which numbers.

use crate::assess::StepResult;
use crate::error::Result;
use crate::plot::{
    Figure, NamedPoint, ProtectionTimes, contrast_figure, current_figure, lamp_power_figure,
    lamps_out_voltage_figure, protection_times_figure, same_thd_figure, sign_change_figure,
};
use crate::regulator::protection::TripCurve;
use crate::regulator::{LoadCurve, Step};

use super::figures::same_thd;
use super::options::Chosen;
use super::{TrainingCircuit, TrainingFigure};

/// Loads in a curve.
const LOADS: usize = 41;

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
        TrainingFigure::Sources => sources(circuit, step, chosen.load_ratio),
        TrainingFigure::Protection => protection(circuit, chosen.load_ratio),
        _ => Err(crate::error::Error::inconsistent("this figure is not drawn yet")),
    }
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

//! Currents as true-RMS meters of several bandwidths read them.

use rayon::prelude::*;

use crate::classroom::training::TrainingCircuit;
use crate::error::{Error, Result};
use crate::meter::{Bandwidth, Detector, Sheet, Signal, Simulation, WindowStart};
use crate::plot::{BandwidthCurve, Figure, bandwidth_figure};
use crate::regulator::Step;
use crate::waveform::{Coupling, TrueRms, Waveform};

/// Bandwidths drawn, from two octaves above mains frequency to where nothing is lost.
const POINTS: usize = 36;
const LOWEST_ORDER: f64 = 3.0;
const HIGHEST_ORDER: f64 = 300.0;
/// The error thought small enough here: a tenth of a common band. Our own choice.
const WITHIN_RATIO: f64 = 0.001;
/// Share of lamps out in one of the currents.
const OPEN_RATIO: f64 = 0.2;
const HALVINGS: usize = 30;

pub(in crate::classroom::training) fn figure(
    circuit: &TrainingCircuit,
    step: &Step,
    load_ratio: f64,
) -> Result<Figure> {
    let mut setup = circuit.regulator.clone();
    setup.load_ratio = load_ratio;
    let load = circuit.load_words(load_ratio);
    let mut currents: Vec<(String, Waveform)> = Vec::new();
    for (name, point) in setup.contrast(step.nominal.a())? {
        if name != "sine" {
            currents.push((format!("{name}, {load}"), point.output));
        }
    }
    let open = circuit.with_lamps_out(step, OPEN_RATIO, None)?;
    let share = crate::classroom::training::parameter::percent(OPEN_RATIO);
    currents.insert(1, (format!("{share}\u{a0}% of lamps out"), open.operating.output));
    let curves = currents
        .into_par_iter()
        .map(|(name, current)| curve(name, &current, circuit.description.frequency_hz))
        .collect::<Result<Vec<_>>>()?;
    let origin = format!("step {}, {}; phase-cut ideal", step.number, circuit.origin());
    Ok(bandwidth_figure(&curves, WITHIN_RATIO, &origin))
}

fn curve(name: String, current: &Waveform, mains_hz: f64) -> Result<BandwidthCurve> {
    let signal = Signal::of(current);
    let error = |corner_hz: f64| error_ratio(&signal, corner_hz, mains_hz);
    let growth = (HIGHEST_ORDER / LOWEST_ORDER).powf(1.0 / (POINTS - 1) as f64);
    let mut points = Vec::with_capacity(POINTS);
    let mut corner_hz = LOWEST_ORDER * mains_hz;
    for _ in 0..POINTS {
        points.push((corner_hz, error(corner_hz)?));
        corner_hz *= growth;
    }
    let after = points.iter().rposition(|at| at.1 < -WITHIN_RATIO);
    let enough_hz = match after.map(|at| (points[at].0, points.get(at + 1))) {
        None => points.first().map(|at| at.0),
        Some((_, None)) => None,
        Some((mut low_hz, Some((high_hz, _)))) => {
            let mut high_hz = *high_hz;
            for _ in 0..HALVINGS {
                let middle_hz = (low_hz * high_hz).sqrt();
                if error(middle_hz)? < -WITHIN_RATIO {
                    low_hz = middle_hz;
                } else {
                    high_hz = middle_hz;
                }
            }
            Some(high_hz)
        }
    };
    Ok(BandwidthCurve { name, points, enough_hz })
}

fn error_ratio(signal: &Signal<'_>, corner_hz: f64, mains_hz: f64) -> Result<f64> {
    let sheet = Sheet {
        bandwidth: Bandwidth::Poles(vec![corner_hz]),
        ..Sheet::ideal(Detector::TrueRms(Coupling::Dc))
    };
    let reading = Simulation::new(sheet, mains_hz)?.read(signal, WindowStart::Anywhere)?;
    let truth = TrueRms::stated_a(signal.measures().dc.rms_a);
    let error = reading.shown().and_then(|shown| shown.error_ratio(truth));
    error.ok_or_else(|| Error::inconsistent("an ideal meter shows every current"))
}

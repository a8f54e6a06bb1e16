//! The generic regulator of the examples: 10 kW, 6.6 A, 60 Hz, five steps.

#![allow(dead_code, reason = "each example takes what it needs")]

use loopcrest::error::{Error, Result};
use loopcrest::meter::{Archetype, Simulation};
use loopcrest::plot::{
    Figure, NamedPoint, ProtectionTimes, branches_figure, contrast_figure, load_curves_figure,
    phase_portrait_figure, protection_times_figure, waterfall_figure,
};
use loopcrest::regulator::protection::{Protection, TrialBench, TripCurve};
use loopcrest::regulator::{
    BandSet, CircuitClass, ControlLoop, LoadCurve, OperatingPoint, PhaseCutSource, Regulated,
    ResistiveLoad, ResonantRegulator, SineSource, SolveOptions, StepTable, Supply,
};

const POWER_W: f64 = 10_000.0;
const FREQUENCY_HZ: f64 = 60.0;
/// Said below every figure drawn from it.
pub(crate) const ORIGIN: &str = "a 10 kW, 6.6 A, 60 Hz regulator: generic model, nobody's machine";

/// The regulator and its steps.
pub(crate) fn regulator() -> Result<(ResonantRegulator, StepTable)> {
    let class = CircuitClass::FiveStep6A6;
    let table = StepTable::published(class, BandSet::default_for(class))?;
    Ok((ResonantRegulator::generic(POWER_W, table.top().nominal.a(), FREQUENCY_HZ)?, table))
}

/// The regulator holding a step on a share of its rated resistance.
pub(crate) fn held(number: u32, load_ratio: f64) -> Result<OperatingPoint> {
    let (regulator, table) = regulator()?;
    let load = ResistiveLoad::new(load_ratio * regulator.values.rated_resistance_ohm())?;
    let step = table
        .step(number)
        .ok_or_else(|| Error::inconsistent(format!("the table has no step {number}")))?;
    match regulator.hold(&load, step.nominal.a(), None, &SolveOptions::default())? {
        Regulated::Held(point) => Ok(*point),
        Regulated::OutOfReach(_) => {
            Err(Error::inconsistent(format!("step {number} is out of reach at {load_ratio}")))
        }
    }
}

/// Step 3 at half load, from inside.
pub(crate) fn branches() -> Result<Figure> {
    let point = held(3, 0.5)?;
    branches_figure(&NamedPoint { name: "step 3 at 50\u{a0}% load", point: &point }, ORIGIN)
}

/// Every step from a short to the rated load.
pub(crate) fn load_curves() -> Result<Figure> {
    let (regulator, table) = regulator()?;
    let load_ratios: Vec<f64> = (0..=40).map(|k| 0.025 * f64::from(k)).collect();
    let curves = LoadCurve::of(&regulator, table.steps(), &load_ratios, &SolveOptions::default())?;
    Ok(load_curves_figure(&curves, ORIGIN))
}

/// The brightest, the middle and the dimmest step at half load.
pub(crate) fn phase_portrait() -> Result<Figure> {
    let held = [held(5, 0.5)?, held(3, 0.5)?, held(1, 0.5)?];
    let [top, middle, dim] = &held;
    let named = [("step 5", top), ("step 3", middle), ("step 1", dim)]
        .map(|(name, point)| NamedPoint { name, point });
    phase_portrait_figure(&named, "three steps at 50\u{a0}% load", ORIGIN)
}

/// Step 3 at half load from three kinds of source.
pub(crate) fn contrast() -> Result<Figure> {
    let (regulator, table) = regulator()?;
    let values = &regulator.values;
    let load = ResistiveLoad::new(0.5 * values.rated_resistance_ohm())?;
    let resonant = held(3, 0.5)?;
    let target_a = resonant.output_rms_a();
    let options = SolveOptions::default();
    let cut = PhaseCutSource {
        rated_power_w: POWER_W,
        rated_current_rms_a: table.top().nominal.a(),
        rated_frequency_hz: FREQUENCY_HZ,
        supply: Supply::nominal(),
    };
    let cut = cut
        .hold(&load, target_a, &options)?
        .held()
        .ok_or_else(|| Error::inconsistent("the phase-cut source cannot hold the current"))?;
    let sine = SineSource { frequency_hz: FREQUENCY_HZ }.drive(&load, target_a, &options)?;
    let named = [("resonant", &resonant), ("phase-cut", &cut), ("sine", &sine)]
        .map(|(name, point)| NamedPoint { name, point });
    let origin = format!("{ORIGIN}; phase-cut and sine ideal");
    Ok(contrast_figure(&named, "step 3 at 50\u{a0}% load", &origin))
}

/// An average-responding clamp on the dimmest step with the output shorted, cause by cause.
pub(crate) fn reading_causes() -> Result<Figure> {
    let (_, table) = regulator()?;
    let kind = Archetype::AverageRespondingClamp;
    let current = held(1, 0.02)?.output.from_rising_zero();
    let reading = Simulation::new(kind.sheet(), FREQUENCY_HZ)?.read_waveform(&current)?;
    let origin = format!("step 1, output shorted, {ORIGIN}");
    let detector = kind.sheet().detector;
    Ok(waterfall_figure(&reading, kind.words(), detector, table.step(1), &origin))
}

/// Times to trip of the protection, output shorted and at 60 % load.
pub(crate) fn protection_times() -> Result<Figure> {
    let (regulator, table) = regulator()?;
    let protection = Protection::default();
    let bench = |load_ratio: f64| TrialBench {
        regulator: &regulator,
        control: ControlLoop::default(),
        protection: &protection,
        target_a: table.top().nominal.a(),
        load_ratio,
    };
    let ratios = protection.curve_ratios();
    let curves = [TripCurve::of(&bench(0.02), &ratios)?, TripCurve::of(&bench(0.6), &ratios)?];
    let times = ProtectionTimes {
        protection: &protection,
        before_ratio: 1.0,
        frequency_hz: FREQUENCY_HZ,
        curves: &curves,
    };
    Ok(protection_times_figure(&times, ORIGIN))
}

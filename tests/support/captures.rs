//! Captures made from a known regulator, with seeded noise.

use std::sync::Arc;

use loopcrest::identify::{FitOptions, Observation, Parameter};
use loopcrest::regulator::{ResistiveLoad, ResonantRegulator, SolveOptions};
use loopcrest::waveform::Waveform;
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};

/// Samples in a period of such a capture: a scope at 30 kHz on 60 Hz.
pub(crate) const SAMPLES: usize = 500;
/// Whole periods of it.
pub(crate) const PERIODS: usize = 10;

/// The generic regulator with some values moved by ratios.
pub(crate) fn moved(ratios: &[(Parameter, f64)]) -> ResonantRegulator {
    let mut regulator = ResonantRegulator::generic(10_000.0, 6.6, 60.0).unwrap();
    for (parameter, ratio) in ratios {
        let value = parameter.of(&regulator);
        parameter.set(&mut regulator, ratio * value);
    }
    regulator
}

pub(crate) fn load(ratio: f64) -> ResistiveLoad {
    ResistiveLoad::new(ratio * 10_000.0 / (6.6 * 6.6)).unwrap()
}

/// A record of whole periods of the regulator's current, begun anywhere, with white noise.
pub(crate) fn record(
    regulator: &ResonantRegulator,
    rms_a: f64,
    load_ratio: f64,
    noise_ratio: f64,
    seed: u64,
) -> Waveform {
    let options = SolveOptions { samples_per_period: SAMPLES, ..SolveOptions::default() };
    let answer = regulator.hold(&load(load_ratio), rms_a, None, &options).unwrap();
    let period = answer.held().unwrap().output;
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    let begin = 37 * (seed as usize % 13);
    let samples_a = (0..PERIODS * SAMPLES)
        .map(|k| {
            let z: f64 = StandardNormal.sample(&mut random);
            period.samples_a()[(k + begin) % SAMPLES] + noise_ratio * rms_a * z
        })
        .collect();
    Waveform::new(samples_a, SAMPLES, period.sample_interval_s()).unwrap()
}

/// The same as an observation, named after its current and load.
pub(crate) fn observation(
    regulator: &ResonantRegulator,
    rms_a: f64,
    load_ratio: f64,
    noise_ratio: f64,
    seed: u64,
) -> Observation {
    let waveform = record(regulator, rms_a, load_ratio, noise_ratio, seed);
    let name = format!("{rms_a} A at {load_ratio}");
    Observation::new(name, &waveform, Arc::new(load(load_ratio)), FitOptions::HIGHEST_ORDER)
        .unwrap()
}

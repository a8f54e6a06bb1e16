use std::f64::consts::{FRAC_PI_2, FRAC_PI_3, PI};

use rayon::prelude::*;

use crate::error::Result;
use crate::waveform::{Coupling, Harmonic, Shape};

use super::Rung;

/// The rungs, from the sine upwards in kind: harmonics, ideal converters, pulses, phase control,
/// rectifiers.
///
/// # Errors
/// None in practice: the shapes are within bounds.
pub fn ladder() -> Result<Vec<Rung>> {
    let third = |phase_rad| Shape::Harmonics(vec![Harmonic { order: 3, ratio: 0.2, phase_rad }]);
    let cut = |delay_rad| Shape::PhaseCut { delay_rad };
    [
        ("sine", Shape::Sine, Coupling::Dc),
        ("3rd harmonic 20 % at 0°", third(0.0), Coupling::Dc),
        ("3rd harmonic 20 % at 90°", third(FRAC_PI_2), Coupling::Dc),
        ("3rd harmonic 20 % at 180°", third(PI), Coupling::Dc),
        ("triangle", Shape::Triangle, Coupling::Dc),
        ("trapezoid, half of it flat", Shape::Trapezoid { flat_ratio: 0.5 }, Coupling::Dc),
        ("square", Shape::Square, Coupling::Dc),
        ("120° blocks", Shape::Block120, Coupling::Dc),
        ("pulses, 25 % of the time", Shape::Pulse { duty: 0.25 }, Coupling::Dc),
        ("sine cut for 60°", cut(FRAC_PI_3), Coupling::Dc),
        ("sine cut for 90°", cut(FRAC_PI_2), Coupling::Dc),
        ("sine cut for 120°", cut(2.0 * FRAC_PI_3), Coupling::Dc),
        ("half-wave, mean kept", Shape::HalfWave, Coupling::Dc),
        ("half-wave, mean lost", Shape::HalfWave, Coupling::Ac),
    ]
    .into_par_iter()
    .map(|(name, shape, coupling)| Rung::new(name, shape, coupling))
    .collect::<Vec<Result<Rung>>>()
    .into_iter()
    .collect()
}

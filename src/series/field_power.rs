use num_complex::Complex64;

use crate::error::{Error, Result};

/// What the field takes at the output terminals, split at the fundamental.
///
/// # Formula
/// S = U I, P = 1/T ∫ u i dt, N² = S² − P²; S₁ = U₁ I₁, P₁ = Re U₁ I₁*, Q₁ = Im U₁ I₁*,
/// S_N² = S² − S₁²
///
/// # Source
/// The usual definitions for distorted quantities (IEEE 1459; from memory).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FieldPower {
    /// True RMS of the output voltage.
    pub voltage_rms_v: f64,
    /// Largest magnitude of the output voltage.
    pub voltage_peak_v: f64,
    /// True RMS of the output current.
    pub current_rms_a: f64,
    /// Apparent power S.
    pub apparent_va: f64,
    /// Active power P.
    pub active_w: f64,
    /// Non-active power N.
    pub non_active_va: f64,
    /// P over S; `None` when nothing is delivered.
    pub power_factor: Option<f64>,
    /// RMS of the voltage's fundamental.
    pub fundamental_rms_v: f64,
    /// RMS of the current's fundamental.
    pub fundamental_rms_a: f64,
    /// Active power of the fundamental, P₁.
    pub fundamental_active_w: f64,
    /// Reactive power of the fundamental, Q₁; positive when the current lags.
    pub fundamental_reactive_var: f64,
    /// P₁ over S₁; `None` when there is no fundamental.
    pub displacement_factor: Option<f64>,
    /// Apparent power that is not fundamental, S_N.
    pub distortion_va: f64,
}

impl FieldPower {
    /// From voltage and current on one grid over whole periods.
    ///
    /// # Errors
    /// `Inconsistent` when the two are not of one length, or empty.
    pub fn of(voltage_v: &[f64], current_a: &[f64], periods: usize) -> Result<Self> {
        if voltage_v.len() != current_a.len() || current_a.is_empty() {
            return Err(Error::inconsistent("voltage and current do not have the same samples"));
        }
        let n = current_a.len() as f64;
        let rms = |x: &[f64]| (x.iter().map(|x| x * x).sum::<f64>() / n).sqrt();
        let (voltage_rms_v, current_rms_a) = (rms(voltage_v), rms(current_a));
        let apparent_va = voltage_rms_v * current_rms_a;
        let active_w = voltage_v.iter().zip(current_a).map(|(u, i)| u * i).sum::<f64>() / n;
        let voltage = fundamental(voltage_v, periods);
        let current = fundamental(current_a, periods);
        let power = voltage * current.conj();
        let fundamental_va = power.norm();
        Ok(Self {
            voltage_rms_v,
            voltage_peak_v: voltage_v.iter().fold(0.0, |top, u| f64::max(top, u.abs())),
            current_rms_a,
            apparent_va,
            active_w,
            non_active_va: (apparent_va * apparent_va - active_w * active_w).max(0.0).sqrt(),
            power_factor: (apparent_va > 0.0).then(|| active_w / apparent_va),
            fundamental_rms_v: voltage.norm(),
            fundamental_rms_a: current.norm(),
            fundamental_active_w: power.re,
            fundamental_reactive_var: power.im,
            displacement_factor: (fundamental_va > 0.0).then(|| power.re / fundamental_va),
            distortion_va: (apparent_va * apparent_va - fundamental_va * fundamental_va)
                .max(0.0)
                .sqrt(),
        })
    }
}

/// RMS phasor of the fundamental; the same origin for everything on the grid.
fn fundamental(values: &[f64], periods: usize) -> Complex64 {
    let n = values.len() as f64;
    let turn = Complex64::from_polar(1.0, -std::f64::consts::TAU * periods as f64 / n);
    let mut phase = Complex64::new(1.0, 0.0);
    let mut sum = Complex64::ZERO;
    for x in values {
        sum += phase * *x;
        phase *= turn;
    }
    sum * (std::f64::consts::SQRT_2 / n)
}

use std::f64::consts::{SQRT_2, TAU};

use crate::error::{Bounds, Result};

use super::ValuesOrigin;

/// Every value of the generic resonant source, in SI units.
///
/// A starting point of ours that describes nobody's machine: fit or measure before trusting it for
/// one. Change any field after making it.
///
/// # Formula
/// base impedance Z = P/I². With z = Z/229.568 Ω (10 kW at 6.6 A):
///
/// | value | generic | scaled as |
/// |---|---|---|
/// | X_in = X_out = X_C | 230 Ω | z |
/// | X_ctl | 0.35 · 230 Ω | z |
/// | R_in = R_ctl | 4.6 Ω | z |
/// | source | 7.6 A · 230 Ω = 1748 V RMS | I z |
/// | iron: a, b, n | 0.3 A, 0.5 A, 9 at 6.6 A | I |
/// | iron: λ_k | flux peak of 2300 V RMS | I z / f |
///
/// Inductances and capacitance are those reactances at the rated frequency.
///
/// # Source
/// No source: values of ours, chosen so that the machine covers every brightness step at any load.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ResonantValues {
    /// Rated power.
    pub rated_power_w: f64,
    /// Rated output current.
    pub rated_current_rms_a: f64,
    /// Rated mains frequency.
    pub rated_frequency_hz: f64,
    /// Source voltage, as it feeds the input reactor.
    pub source_rms_v: f64,
    /// Input reactor.
    pub input_inductance_h: f64,
    /// Its winding.
    pub input_resistance_ohm: f64,
    /// Resonant capacitor.
    pub capacitance_f: f64,
    /// Phase-fired reactor.
    pub control_inductance_h: f64,
    /// Its winding.
    pub control_resistance_ohm: f64,
    /// Output reactor.
    pub output_inductance_h: f64,
    /// Iron branch: linear part of the current at the knee.
    pub iron_linear_a: f64,
    /// Iron branch: power part of the current at the knee.
    pub iron_power_a: f64,
    /// Iron branch: flux linkage at the knee.
    pub iron_knee_wb: f64,
    /// Iron branch: exponent.
    pub iron_exponent: u32,
    /// Where these values come from.
    pub origin: ValuesOrigin,
}

impl ResonantValues {
    /// Rated power.
    pub const POWER_W: Bounds = Bounds::new("rated power", "W", 100.0, 1e6);
    /// Rated output current.
    pub const CURRENT_A: Bounds = Bounds::new("rated current", "A", 0.5, 100.0);
    /// Rated mains frequency.
    pub const FREQUENCY_HZ: Bounds = Bounds::new("rated frequency", "Hz", 10.0, 1000.0);

    /// Reactance of each arm of the T, over the impedance P/I² rounded as the generic values are.
    const REACTANCE_OHM: f64 = 230.0;
    const BASE_OHM: f64 = 10_000.0 / (6.6 * 6.6);

    /// The generic values for a rating.
    ///
    /// # Errors
    /// `OutOfRange` outside the bounds above.
    pub fn generic(power_w: f64, current_rms_a: f64, frequency_hz: f64) -> Result<Self> {
        Self::POWER_W.check(power_w)?;
        Self::CURRENT_A.check(current_rms_a)?;
        Self::FREQUENCY_HZ.check(frequency_hz)?;
        let impedance = power_w / (current_rms_a * current_rms_a) / Self::BASE_OHM;
        let current = current_rms_a / 6.6;
        let omega = TAU * frequency_hz;
        let reactance_ohm = Self::REACTANCE_OHM * impedance;
        Ok(Self {
            rated_power_w: power_w,
            rated_current_rms_a: current_rms_a,
            rated_frequency_hz: frequency_hz,
            source_rms_v: 7.6 * current * reactance_ohm,
            input_inductance_h: reactance_ohm / omega,
            input_resistance_ohm: 0.02 * reactance_ohm,
            capacitance_f: 1.0 / (omega * reactance_ohm),
            control_inductance_h: 0.35 * reactance_ohm / omega,
            control_resistance_ohm: 0.02 * reactance_ohm,
            output_inductance_h: reactance_ohm / omega,
            iron_linear_a: 0.3 * current,
            iron_power_a: 0.5 * current,
            iron_knee_wb: 10.0 * current * reactance_ohm * SQRT_2 / omega,
            iron_exponent: 9,
            origin: ValuesOrigin::Generic,
        })
    }

    /// Load resistance that takes the rated power at the rated current.
    #[must_use]
    pub fn rated_resistance_ohm(&self) -> f64 {
        self.rated_power_w / (self.rated_current_rms_a * self.rated_current_rms_a)
    }

    /// Reactance of the input reactor at the rated frequency: the impedance loads are counted in.
    #[must_use]
    pub fn reactance_ohm(&self) -> f64 {
        TAU * self.rated_frequency_hz * self.input_inductance_h
    }

    /// Capacitor and reactors aged or warm: each multiplied by its own factor.
    #[must_use]
    pub fn drifted(mut self, capacitance_ratio: f64, inductance_ratio: f64) -> Self {
        self.capacitance_f *= capacitance_ratio;
        self.input_inductance_h *= inductance_ratio;
        self.output_inductance_h *= inductance_ratio;
        self.control_inductance_h *= inductance_ratio;
        self
    }
}

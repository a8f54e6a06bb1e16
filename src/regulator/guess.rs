//! Where Newton begins on the resonant regulator when there is no neighbour to begin from.

use std::f64::consts::{FRAC_PI_2, PI, SQRT_2};

use num_complex::Complex64;

use crate::circuit::{Circuit, PendingFiring, Section};
use crate::numeric::root_between;

use super::{Load, RegulatedNetwork, ResonantRegulator};

impl ResonantRegulator {
    /// A state and a delay to start from, by phasors at the fundamental.
    ///
    /// With the output current given, the reactor's susceptance B is what makes the voltage in
    /// front of the input reactor as large as the source; the delay follows from B by the
    /// fundamental of a phase-fired reactor, I₁ = (2(π−α) + sin 2α)/π.
    ///
    /// The section is taken at the peak of the capacitor voltage: there the triac is off and
    /// exactly one firing waits, at any delay beyond a quarter period.
    pub(super) fn guess(
        &self,
        circuit: &Circuit,
        branches: &RegulatedNetwork,
        load: &dyn Load,
        target_a: f64,
    ) -> (Section, f64) {
        let v = &self.values;
        let omega = circuit.network().omega_rad_per_s();
        let j = Complex64::I;
        let output_a = Complex64::new(SQRT_2 * target_a, 0.0);
        let capacitor_v = output_a * (load.resistance_ohm() + j * omega * v.output_inductance_h);
        let input_ohm = v.input_resistance_ohm + j * omega * v.input_inductance_h;
        let source_v = SQRT_2 * v.source_rms_v * self.supply.voltage_ratio;
        let input_a = |b: f64| output_a + capacitor_v * j * (omega * v.capacitance_f - b);
        let needed_v = |b: f64| capacitor_v + input_ohm * input_a(b);
        let most = 1.0 / (omega * v.control_inductance_h);
        let miss = |b: f64| Ok(needed_v(b).norm() - source_v);
        let b = root_between(miss, 0.0, 2.0 * most, 1e-6 * most).unwrap_or(0.3 * most);
        let knee_ratio = capacitor_v.norm() / (omega * v.iron_knee_wb);
        // Half of the power term: the fundamental of sin⁹ is 126/256 of its peak.
        let iron_a = v.iron_linear_a * knee_ratio
            + 0.49 * v.iron_power_a * knee_ratio.powi(v.iron_exponent as i32);
        let share = ((b - iron_a / capacitor_v.norm()) / most).clamp(1e-4, 0.98);
        let fundamental = |alpha: f64| Ok((2.0 * (PI - alpha) + (2.0 * alpha).sin()) / PI - share);
        let delay = root_between(fundamental, FRAC_PI_2, PI, 1e-6).unwrap_or(0.75 * PI);
        // Turn everything so that the capacitor voltage is at its peak, and read the time at the
        // source, which is a sine.
        let turn = Complex64::from_polar(1.0, -capacitor_v.arg());
        let source = needed_v(b) * turn;
        let time_s = (source.arg() + FRAC_PI_2).rem_euclid(2.0 * PI) / omega;
        let mut state = vec![0.0; circuit.state_count()];
        let names = [
            ("input reactor", (input_a(b) * turn).re),
            ("capacitor", capacitor_v.norm()),
            ("output reactor", (output_a * turn).re),
            ("load inductance", (output_a * turn).re),
        ];
        for (name, value) in names {
            let at = circuit.network().find(name).and_then(|branch| circuit.state_of(branch));
            if let Some(at) = at {
                state[at] = value;
            }
        }
        let switch = circuit.switch_of(branches.triac).unwrap_or(0);
        let pending = vec![PendingFiring { switch, in_s: (delay - FRAC_PI_2) / omega }];
        (Section { time_s, state, switches_on: 0, pending }, delay)
    }
}

use std::f64::consts::{PI, TAU};

/// A window's fundamental below this part of the largest one seen says nothing about the frequency.
const FLOWING_RATIO: f64 = 0.02;
/// No mains moves by more than this from one window to the next; what does is a change of the current.
const MOST_MOVE_RATIO: f64 = 0.02;
/// Part of a phase error that is taken back over one window, and how far a window is bent for it: so
/// little that no RMS notices.
const PULL_RATIO: f64 = 0.5;
const MOST_PULL_RATIO: f64 = 5e-4;
/// Rounds of the frequency search; the error shrinks by far more than ten in each.
const ROUNDS: usize = 3;

/// Follows the mains frequency from window to window by the phase of the fundamental.
///
/// # Formula
/// f ← f + Δφ / (2π Δt), Δφ the phase of the fundamental in the second half of the window against the
/// first, each by a Hann-weighted sum over whole periods: mean, image and harmonics stand on zeros of
/// its response when f is right.
#[derive(Clone, Debug)]
pub(super) struct Tracker {
    rate_hz: f64,
    pub(super) frequency_hz: f64,
    fixed: bool,
    range_hz: (f64, f64),
    most_a: f64,
}

/// What was found in a window.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Tracked {
    /// By which the window's periods are cut.
    pub(super) frequency_hz: f64,
    /// Phase of the fundamental, as a sine, at the window's first position; `None` without current.
    pub(super) phase_rad: Option<f64>,
    /// Whether the frequency was found here.
    pub(super) tracked: bool,
}

impl Tracker {
    pub(super) fn new(rate_hz: f64, frequency_hz: f64, fixed: bool, range_hz: (f64, f64)) -> Self {
        Self { rate_hz, frequency_hz, fixed, range_hz, most_a: 0.0 }
    }

    pub(super) fn period_samples(&self) -> f64 {
        self.rate_hz / self.frequency_hz
    }

    /// Looks at `cycles` periods from `start` on, a position in `samples`.
    pub(super) fn look(&mut self, samples: &[f64], start: f64, cycles: usize) -> Tracked {
        let mut hz = self.frequency_hz;
        let mut halves = self.halves(samples, start, cycles, hz);
        let amplitude_a = halves.map_or(0.0, |h| 0.5 * (h[0].amplitude_a + h[1].amplitude_a));
        let flows = amplitude_a > 0.0 && amplitude_a >= FLOWING_RATIO * self.most_a;
        self.most_a = self.most_a.max(amplitude_a);
        let mut tracked = flows && halves.is_some();
        if tracked && !self.fixed {
            for _ in 0..ROUNDS {
                let Some([first, second]) = halves else { break };
                let apart_s = (second.middle - first.middle) / self.rate_hz;
                let turned = TAU * hz * apart_s;
                hz += wrapped(second.phase_rad - first.phase_rad - turned) / (TAU * apart_s);
                if !(self.range_hz.0..=self.range_hz.1).contains(&hz) {
                    break;
                }
                halves = self.halves(samples, start, cycles, hz);
            }
            let moved = (hz / self.frequency_hz - 1.0).abs();
            tracked = moved <= MOST_MOVE_RATIO
                && (self.range_hz.0..=self.range_hz.1).contains(&hz)
                && halves.is_some();
        }
        if !tracked {
            return self.unseen();
        }
        self.frequency_hz = hz;
        let phase_rad = halves.map(|[first, _]| {
            let back = TAU * hz * (first.middle - start) / self.rate_hz;
            wrapped(first.phase_rad - back)
        });
        Tracked { frequency_hz: hz, phase_rad, tracked: !self.fixed }
    }

    /// The frequency found before, where there is too little to look at.
    pub(super) fn unseen(&self) -> Tracked {
        Tracked { frequency_hz: self.frequency_hz, phase_rad: None, tracked: false }
    }

    /// The frequency by which a window is cut so that its periods drift back to the rising zero.
    pub(super) fn pulled_hz(&self, tracked: &Tracked, cycles: usize) -> f64 {
        let Some(phase_rad) = tracked.phase_rad.filter(|_| tracked.tracked) else {
            return tracked.frequency_hz;
        };
        // A positive phase: the window begins late, and shorter periods catch up.
        let pull = PULL_RATIO * phase_rad / (TAU * cycles as f64);
        tracked.frequency_hz * (1.0 + pull.clamp(-MOST_PULL_RATIO, MOST_PULL_RATIO))
    }

    fn halves(&self, samples: &[f64], start: f64, cycles: usize, hz: f64) -> Option<[Phasor; 2]> {
        let length = (cycles / 2) as f64 * self.rate_hz / hz;
        let omega = TAU * hz / self.rate_hz;
        Some([
            phasor(samples, start, length, omega)?,
            phasor(samples, start + length, length, omega)?,
        ])
    }
}

impl Tracked {
    /// Whether the window begins farther from a rising zero than this part of a period.
    pub(super) fn is_astray(&self, ratio: f64) -> bool {
        self.tracked && self.phase_rad.is_some_and(|phase_rad| phase_rad.abs() > ratio * TAU)
    }
}

#[derive(Clone, Copy, Debug)]
struct Phasor {
    middle: f64,
    amplitude_a: f64,
    /// As a sine, at `middle`.
    phase_rad: f64,
}

/// The Hann-weighted line at ω over a stretch whose ends lie between samples.
fn phasor(samples: &[f64], from: f64, length: f64, omega: f64) -> Option<Phasor> {
    let first = from.ceil().max(0.0) as usize;
    let last = (from + length).floor() as usize;
    let part = samples.get(first..=last)?;
    if part.len() < 8 {
        return None;
    }
    let middle = from + 0.5 * length;
    let (mut re, mut im, mut weights) = (0.0, 0.0, 0.0);
    let turn = |angle: f64| angle.sin_cos();
    let away = first as f64 - middle;
    let (mut s, mut c) = turn(omega * away);
    let (s_1, c_1) = turn(omega);
    let (mut hs, mut hc) = turn(TAU * away / length);
    let (hs_1, hc_1) = turn(TAU / length);
    for x in part {
        let weight = 1.0 + hc;
        weights += weight;
        re += weight * x * c;
        im += weight * x * s;
        (s, c) = (s * c_1 + c * s_1, c * c_1 - s * s_1);
        (hs, hc) = (hs * hc_1 + hc * hs_1, hc * hc_1 - hs * hs_1);
    }
    // x = A sin(ω t + φ): Σ x cos = ½ A sin φ, Σ x sin = ½ A cos φ.
    Some(Phasor { middle, amplitude_a: 2.0 * re.hypot(im) / weights, phase_rad: re.atan2(im) })
}

/// The angle within half a turn of zero.
pub(super) fn wrapped(angle_rad: f64) -> f64 {
    (angle_rad + PI).rem_euclid(TAU) - PI
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Closed form: a sine with a mean and a third harmonic, from a start that is 0.3 Hz off.
    #[test]
    fn exact_frequency_and_phase_of_a_tone() {
        let (rate_hz, hz, phase_rad) = (4000.0, 50.13, 0.7);
        let samples: Vec<f64> = (0..1000)
            .map(|k| {
                let turn = TAU * hz * f64::from(k) / rate_hz + phase_rad;
                0.3 + 2.0 * turn.sin() + 0.4 * (3.0 * turn).sin()
            })
            .collect();
        let mut tracker = Tracker::new(rate_hz, 49.83, false, (40.0, 70.0));
        let found = tracker.look(&samples, 20.25, 10);
        assert!(found.tracked);
        // What is left of the harmonics where samples are no whole number of periods: the ends of a
        // Hann window are zero, so less than 1e-5 of a turn.
        assert!((found.frequency_hz - hz).abs() < 1e-4, "{}", found.frequency_hz);
        let want = wrapped(TAU * hz * 20.25 / rate_hz + phase_rad);
        assert!((found.phase_rad.unwrap() - want).abs() < 1e-4, "{found:?} {want}");
    }
}

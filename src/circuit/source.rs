use crate::error::{Bounds, Error, Result};

/// One sine of a source: A sin(h ω t + φ).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tone {
    /// Multiple of the mains frequency; 0 with a phase of π/2 is a direct part.
    pub order: u32,
    /// Peak value, in volts or amperes.
    pub amplitude: f64,
    /// Phase at t = 0.
    pub phase_rad: f64,
}

/// The course of a source over time, periodic with the mains.
#[derive(Clone, Debug, PartialEq)]
pub enum Source {
    /// A sum of sines.
    Tones(Vec<Tone>),
    /// Values at equal intervals over one period, the first at t = 0, joined by straight lines.
    Table(Vec<f64>),
}

impl Source {
    /// Largest magnitude of any part of a source.
    pub const AMPLITUDE: Bounds = Bounds::new("source amplitude", "", -1e7, 1e7);
    /// Highest multiple of the mains frequency.
    pub const ORDER: Bounds = Bounds::new("harmonic order of a source", "", 0.0, 200.0);

    /// A sine of the mains frequency.
    #[must_use]
    pub fn sine(amplitude_peak: f64, phase_rad: f64) -> Self {
        Self::Tones(vec![Tone { order: 1, amplitude: amplitude_peak, phase_rad }])
    }

    /// The value at a time.
    #[must_use]
    pub fn value(&self, omega_rad_per_s: f64, time_s: f64) -> f64 {
        match self {
            Self::Tones(tones) => tones
                .iter()
                .map(|tone| {
                    let phase = f64::from(tone.order) * omega_rad_per_s * time_s + tone.phase_rad;
                    tone.amplitude * phase.sin()
                })
                .sum(),
            Self::Table(values) => {
                let (at, fraction) = table_place(values.len(), omega_rad_per_s, time_s);
                let (v0, v1) = (values[at], values[(at + 1) % values.len()]);
                v0 + fraction * (v1 - v0)
            }
        }
    }

    /// Whether e(t + T/2) = −e(t).
    #[must_use]
    pub fn is_half_wave_symmetric(&self) -> bool {
        match self {
            Self::Tones(tones) => {
                tones.iter().all(|tone| tone.order % 2 == 1 || tone.amplitude == 0.0)
            }
            Self::Table(values) => {
                let half = values.len() / 2;
                let top = values.iter().fold(0.0_f64, |m, v| m.max(v.abs()));
                values.len().is_multiple_of(2)
                    && (0..half).all(|k| (values[k] + values[k + half]).abs() <= 1e-12 * top)
            }
        }
    }

    /// The same course with every value multiplied.
    #[must_use]
    pub fn scaled(&self, factor: f64) -> Self {
        match self {
            Self::Tones(tones) => Self::Tones(
                tones.iter().map(|t| Tone { amplitude: t.amplitude * factor, ..*t }).collect(),
            ),
            Self::Table(values) => Self::Table(values.iter().map(|v| v * factor).collect()),
        }
    }

    /// A bound on the magnitude at any time.
    pub(super) fn largest(&self) -> f64 {
        match self {
            Self::Tones(tones) => tones.iter().map(|tone| tone.amplitude.abs()).sum(),
            Self::Table(values) => values.iter().fold(0.0, |m, v| m.max(v.abs())),
        }
    }

    pub(super) fn check(&self) -> Result<()> {
        match self {
            Self::Tones(tones) => {
                for tone in tones {
                    Self::AMPLITUDE.check(tone.amplitude)?;
                    Self::ORDER.check(f64::from(tone.order))?;
                    if !tone.phase_rad.is_finite() {
                        return Err(Error::inconsistent("the phase of a source is not a number"));
                    }
                }
            }
            Self::Table(values) => {
                if !(4..=100_000).contains(&values.len()) {
                    return Err(Error::inconsistent(format!(
                        "a source table has {} values, allowed are 4 to 100000",
                        values.len()
                    )));
                }
                for value in values {
                    Self::AMPLITUDE.check(*value)?;
                }
            }
        }
        Ok(())
    }

    /// Taylor coefficients in τ = (t − t₀)/unit, `out.len()` of them.
    ///
    /// A table is the line it is on; `step_limit` sees to it that no step passes a corner.
    pub(super) fn series(&self, omega: f64, time_s: f64, unit_s: f64, out: &mut [f64]) {
        out.fill(0.0);
        match self {
            Self::Tones(tones) => {
                for tone in tones {
                    let rate = f64::from(tone.order) * omega;
                    let (sin, cos) = (rate * time_s + tone.phase_rad).sin_cos();
                    // d^k/dt^k of a sine turns by a quarter each time.
                    let turning = [sin, cos, -sin, -cos];
                    let mut factor = tone.amplitude;
                    for (k, c) in out.iter_mut().enumerate() {
                        *c += factor * turning[k % 4];
                        factor *= rate * unit_s / (k + 1) as f64;
                    }
                }
            }
            Self::Table(values) => {
                let n = values.len();
                let (at, fraction) = table_place(n, omega, time_s);
                let (v0, v1) = (values[at], values[(at + 1) % n]);
                out[0] = v0 + fraction * (v1 - v0);
                let cell_s = std::f64::consts::TAU / omega / n as f64;
                if out.len() > 1 {
                    out[1] = (v1 - v0) / cell_s * unit_s;
                }
            }
        }
    }

    /// Time to the next corner of a table; `None` for smooth sources.
    pub(super) fn next_corner_s(&self, omega: f64, time_s: f64) -> Option<f64> {
        let Self::Table(values) = self else { return None };
        let (_, fraction) = table_place(values.len(), omega, time_s);
        let cell_s = std::f64::consts::TAU / omega / values.len() as f64;
        Some((1.0 - fraction) * cell_s)
    }
}

/// Cell of a table and the place in it, 0 to 1. A time within rounding of a corner belongs to the
/// cell after it.
fn table_place(n: usize, omega: f64, time_s: f64) -> (usize, f64) {
    let cells = omega * time_s / std::f64::consts::TAU * n as f64;
    let mut cell = cells.floor();
    let mut fraction = cells - cell;
    if fraction > 1.0 - 1e-9 {
        cell += 1.0;
        fraction = 0.0;
    }
    ((cell.rem_euclid(n as f64)) as usize % n, fraction)
}

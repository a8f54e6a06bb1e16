use std::f64::consts::{PI, TAU};

use crate::error::{Bounds, Error, Result};

use super::piece::Piece;

/// One harmonic of a synthetic shape: `ratio sin(order ω t + phase)`, beside `sin ω t`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Harmonic {
    /// Order, 2 or more.
    pub order: usize,
    /// Amplitude as a ratio of the fundamental's.
    pub ratio: f64,
    /// Phase at the zero crossing of the fundamental.
    pub phase_rad: f64,
}

/// A periodic shape of a current, peak or fundamental 1 before scaling.
///
/// All shapes start at the rising zero crossing of the sine they are derived from. All but
/// [`Shape::HalfWave`] (and even harmonics) have half-wave symmetry: i(t + T/2) = −i(t).
///
/// # Source
/// Closed forms of RMS, average and peak of these shapes: elementary integrals; they stand beside
/// the tests (`exact_classic_shapes_...`).
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    /// A pure sine.
    Sine,
    /// A sine with harmonics.
    Harmonics(Vec<Harmonic>),
    /// A sine limited by a knee: `s / (1 + |s/level|^sharpness)^(1/sharpness)` with s = sin ω t.
    ClippedSine {
        /// Where the knee lies, as a ratio of the sine's peak.
        level_ratio: f64,
        /// From 1 (soft) to infinity (a hard cut).
        sharpness: f64,
    },
    /// A sine switched on late in each half period.
    PhaseCut {
        /// Delay after each zero crossing.
        delay_rad: f64,
    },
    /// Pulses of alternating sign, centred on the peaks of the sine.
    Pulse {
        /// Share of each half period that conducts.
        duty: f64,
    },
    /// A triangle.
    Triangle,
    /// A square wave.
    Square,
    /// A trapezoid with equal ramps.
    Trapezoid {
        /// Share of each half period at the flat top.
        flat_ratio: f64,
    },
    /// Blocks of 120 degrees of alternating sign: the line current of an ideal six-pulse bridge.
    Block120,
    /// The positive halves of a sine.
    HalfWave,
}

impl Shape {
    /// Order of a harmonic.
    pub const ORDER: Bounds = Bounds::new("harmonic order", "", 2.0, 2000.0);
    /// Amplitude of a harmonic against the fundamental.
    pub const RATIO: Bounds = Bounds::new("harmonic ratio", "", 0.0, 100.0);
    /// Phase of a harmonic.
    pub const PHASE_RAD: Bounds = Bounds::new("harmonic phase", "rad", -TAU, TAU);
    /// Clipping level.
    pub const LEVEL_RATIO: Bounds = Bounds::new("clipping level", "", 0.01, 100.0);
    /// Sharpness of the clipping knee.
    pub const SHARPNESS: Bounds = Bounds::new("knee sharpness", "", 1.0, f64::INFINITY);
    /// Phase-cut delay; at 180 degrees nothing would be left.
    pub const DELAY_RAD: Bounds = Bounds::new("phase-cut delay", "rad", 0.0, 0.999 * PI);
    /// Duty of alternating pulses.
    pub const DUTY: Bounds = Bounds::new("pulse duty", "", 0.001, 1.0);
    /// Flat share of a trapezoid.
    pub const FLAT_RATIO: Bounds = Bounds::new("flat share of a trapezoid", "", 0.0, 1.0);

    /// Checks the parameters against their bounds.
    ///
    /// # Errors
    /// `OutOfRange` for a parameter out of bounds; `Inconsistent` for a harmonic given twice.
    pub fn check(&self) -> Result<()> {
        match self {
            Self::Harmonics(harmonics) => {
                let mut seen = Vec::with_capacity(harmonics.len());
                for harmonic in harmonics {
                    Self::ORDER.check(harmonic.order as f64)?;
                    Self::RATIO.check(harmonic.ratio)?;
                    Self::PHASE_RAD.check(harmonic.phase_rad)?;
                    if seen.contains(&harmonic.order) {
                        return Err(Error::inconsistent(format!(
                            "harmonic {} is given twice",
                            harmonic.order
                        )));
                    }
                    seen.push(harmonic.order);
                }
            }
            Self::ClippedSine { level_ratio, sharpness } => {
                Self::LEVEL_RATIO.check(*level_ratio)?;
                Self::SHARPNESS.check(*sharpness)?;
            }
            Self::PhaseCut { delay_rad } => {
                Self::DELAY_RAD.check(*delay_rad)?;
            }
            Self::Pulse { duty } => {
                Self::DUTY.check(*duty)?;
            }
            Self::Trapezoid { flat_ratio } => {
                Self::FLAT_RATIO.check(*flat_ratio)?;
            }
            Self::Sine | Self::Triangle | Self::Square | Self::Block120 | Self::HalfWave => {}
        }
        Ok(())
    }

    /// A short name in plain words.
    #[must_use]
    pub fn name(&self) -> String {
        match self {
            Self::Sine => "sine".into(),
            Self::Harmonics(harmonics) if harmonics.is_empty() => "sine".into(),
            Self::Harmonics(harmonics) => {
                let list: Vec<_> = harmonics
                    .iter()
                    .map(|h| {
                        format!(
                            "h{} {} % at {}°",
                            h.order,
                            short(100.0 * h.ratio),
                            short(h.phase_rad.to_degrees())
                        )
                    })
                    .collect();
                format!("sine with {}", list.join(", "))
            }
            Self::ClippedSine { level_ratio, sharpness } => {
                format!("sine clipped at {level_ratio} of its peak, knee {sharpness}")
            }
            Self::PhaseCut { delay_rad } => {
                format!("sine cut by phase at {}°", short(delay_rad.to_degrees()))
            }
            Self::Pulse { duty } => format!("pulses of {} % duty", short(100.0 * duty)),
            Self::Triangle => "triangle".into(),
            Self::Square => "square".into(),
            Self::Trapezoid { flat_ratio } => {
                format!("trapezoid, {} % flat", short(100.0 * flat_ratio))
            }
            Self::Block120 => "120° blocks".into(),
            Self::HalfWave => "half-wave sine".into(),
        }
    }

    /// The half period from 0 to π in pieces with closed forms; `None` for a sum of harmonics and
    /// for a soft knee.
    pub(crate) fn pieces(&self) -> Option<Vec<Piece>> {
        let pulse =
            |duty: f64| vec![Piece::level(0.5 * PI * (1.0 - duty), 0.5 * PI * (1.0 + duty), 1.0)];
        Some(match self {
            Self::Sine | Self::HalfWave => vec![Piece::sine(0.0, PI)],
            Self::PhaseCut { delay_rad } => vec![Piece::sine(*delay_rad, PI)],
            Self::Pulse { duty } => pulse(*duty),
            Self::Square => pulse(1.0),
            Self::Block120 => pulse(2.0 / 3.0),
            Self::Triangle => trapezoid(0.0),
            Self::Trapezoid { flat_ratio } => trapezoid(*flat_ratio),
            Self::ClippedSine { level_ratio, sharpness } if sharpness.is_infinite() => {
                let knee_rad = level_ratio.min(1.0).asin();
                vec![
                    Piece::sine(0.0, knee_rad),
                    Piece::level(knee_rad, PI - knee_rad, *level_ratio),
                    Piece::sine(PI - knee_rad, PI),
                ]
            }
            Self::Harmonics(_) | Self::ClippedSine { .. } => return None,
        })
    }

    /// Whether the second half of the period is the first with its sign changed.
    pub(crate) fn alternates(&self) -> bool {
        match self {
            Self::HalfWave => false,
            Self::Harmonics(harmonics) => harmonics.iter().all(|h| h.order % 2 == 1),
            _ => true,
        }
    }

    /// Places in the half period, 0 to 1, at which the shape jumps, but for its ends.
    pub(super) fn jumps(&self) -> Vec<f64> {
        match self {
            Self::PhaseCut { delay_rad } => vec![delay_rad / PI],
            Self::Pulse { duty } => vec![0.5 * (1.0 - duty), 0.5 * (1.0 + duty)],
            Self::Block120 => vec![1.0 / 6.0, 5.0 / 6.0],
            _ => Vec::new(),
        }
    }

    /// Value at the phase `theta_rad` of the period, before scaling.
    #[must_use]
    pub fn at(&self, theta_rad: f64) -> f64 {
        let sine = theta_rad.sin();
        // Place within the half period, 0 to 1, and the sign of that half.
        let halves = theta_rad / PI;
        let whole = halves.floor();
        let (within, sign) = (halves - whole, if whole.rem_euclid(2.0) < 0.5 { 1.0 } else { -1.0 });
        match self {
            Self::Sine => sine,
            Self::Harmonics(harmonics) => harmonics.iter().fold(sine, |sum, h| {
                sum + h.ratio * (h.order as f64).mul_add(theta_rad, h.phase_rad).sin()
            }),
            Self::ClippedSine { level_ratio, sharpness } => clipped(sine, *level_ratio, *sharpness),
            Self::PhaseCut { delay_rad } => {
                if within * PI < *delay_rad {
                    0.0
                } else {
                    sine
                }
            }
            Self::Pulse { duty } => pulse(within, *duty) * sign,
            Self::Triangle => sign * (1.0 - (2.0 * within - 1.0).abs()),
            Self::Square => sign,
            Self::Trapezoid { flat_ratio } => {
                let ramp = 0.5 * (1.0 - flat_ratio);
                let from_edge = within.min(1.0 - within);
                if from_edge >= ramp { sign } else { sign * from_edge / ramp }
            }
            Self::Block120 => pulse(within, 2.0 / 3.0) * sign,
            Self::HalfWave => sine.max(0.0),
        }
    }
}

/// A number with at most three decimals, without trailing zeros.
fn short(value: f64) -> String {
    let rounded = (value * 1e3).round() / 1e3;
    rounded.to_string()
}

fn pulse(within: f64, duty: f64) -> f64 {
    if (within - 0.5).abs() < 0.5 * duty { 1.0 } else { 0.0 }
}

/// Ramps at both ends of the half period, `flat_ratio` of it flat between them.
fn trapezoid(flat_ratio: f64) -> Vec<Piece> {
    let ramp_rad = 0.5 * PI * (1.0 - flat_ratio);
    vec![
        Piece::ramp(0.0, ramp_rad, 0.0, 1.0),
        Piece::level(ramp_rad, PI - ramp_rad, 1.0),
        Piece::ramp(PI - ramp_rad, PI, 1.0, 0.0),
    ]
}

/// The knee, in a form that neither overflows nor loses the hard limit.
fn clipped(sine: f64, level_ratio: f64, sharpness: f64) -> f64 {
    let size = sine.abs();
    if sharpness.is_infinite() {
        return size.min(level_ratio).copysign(sine);
    }
    let x = size / level_ratio;
    let limited = if x <= 1.0 {
        size / (x.powf(sharpness).ln_1p() / sharpness).exp()
    } else {
        level_ratio / (x.powf(-sharpness).ln_1p() / sharpness).exp()
    };
    limited.copysign(sine)
}

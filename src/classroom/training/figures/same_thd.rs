//! Three currents of one distortion with the lowest, no and the highest error of an average-responding
//! meter, found by looking through the phases of two harmonics.

use std::f64::consts::TAU;

use crate::error::{Error, Result};
use crate::plot::SameThdCase;
use crate::waveform::{Harmonic, Scale, Shape, Synthesis};

/// Orders, and the share of the distortion each takes: together its whole square.
const SHARES: [(usize, f64); 2] = [(3, 0.8), (5, 0.6)];
/// Phases looked through for each harmonic.
const PHASES: usize = 24;
/// Samples of a period while looking.
const ROUGH: usize = 360;
/// Halvings until the error is zero to rounding.
const HALVINGS: usize = 50;

/// The three currents: the lowest error, none, the highest.
///
/// # Errors
/// As [`Synthesis::waveform`].
pub(in crate::classroom::training) fn cases(
    thd_ratio: f64,
    rms_a: f64,
    frequency_hz: f64,
) -> Result<Vec<SameThdCase>> {
    let search = Search { thd_ratio, rms_a, frequency_hz };
    let phase = |k: usize| TAU * k as f64 / PHASES as f64;
    let mut tried = Vec::with_capacity(PHASES * PHASES);
    for third in 0..PHASES {
        for fifth in 0..PHASES {
            let phases_rad = [phase(third), phase(fifth)];
            tried.push((search.error_ratio(phases_rad, ROUGH)?, phases_rad));
        }
    }
    let by_error = |a: &&(f64, [f64; 2]), b: &&(f64, [f64; 2])| a.0.total_cmp(&b.0);
    let found = tried.iter().min_by(by_error).zip(tried.iter().max_by(by_error));
    let Some(((_, lowest), (_, highest))) = found else {
        return Err(Error::inconsistent("no phases were looked through"));
    };
    let between = search.zero_between(*lowest, *highest)?;
    [*lowest, between, *highest]
        .into_iter()
        .map(|phases_rad| search.case(phases_rad, Synthesis::DEFAULT_SAMPLES_PER_PERIOD))
        .collect()
}

struct Search {
    thd_ratio: f64,
    rms_a: f64,
    frequency_hz: f64,
}

impl Search {
    fn case(&self, phases_rad: [f64; 2], samples_per_period: usize) -> Result<SameThdCase> {
        let harmonics = SHARES.iter().zip(phases_rad).map(|((order, share), phase_rad)| Harmonic {
            order: *order,
            ratio: share * self.thd_ratio,
            phase_rad,
        });
        let shape = Shape::Harmonics(harmonics.collect());
        let synthesis = Synthesis {
            frequency_hz: self.frequency_hz,
            periods: 1,
            samples_per_period,
            ..Synthesis::new(shape, Scale::RmsA(self.rms_a))
        };
        let phases_rad = SHARES.iter().zip(phases_rad).map(|((order, _), rad)| (*order, rad));
        Ok(SameThdCase { waveform: synthesis.waveform()?, phases_rad: phases_rad.collect() })
    }

    fn error_ratio(&self, phases_rad: [f64; 2], samples_per_period: usize) -> Result<f64> {
        let error = self.case(phases_rad, samples_per_period)?.average_error_ratio();
        error.ok_or_else(|| Error::inconsistent("a current of no RMS has no error"))
    }

    /// Phases on the straight way between two at which the error is zero: it moves smoothly from one
    /// sign to the other.
    fn zero_between(&self, low: [f64; 2], high: [f64; 2]) -> Result<[f64; 2]> {
        let at = |part: f64| [0, 1].map(|k| part.mul_add(high[k] - low[k], low[k]));
        let (mut from, mut to) = (0.0, 1.0);
        for _ in 0..HALVINGS {
            let middle = 0.5 * (from + to);
            if self.error_ratio(at(middle), Synthesis::DEFAULT_SAMPLES_PER_PERIOD)? < 0.0 {
                from = middle;
            } else {
                to = middle;
            }
        }
        Ok(at(0.5 * (from + to)))
    }
}

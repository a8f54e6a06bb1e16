use std::f64::consts::TAU;

use super::{Event, EventKind};

/// Periods looked at together, and how often.
const PERIODS: usize = 20;
const MOST_LOOKS: usize = 5;
/// Fewer samples in a period are too few for a peak, whatever the shape.
const FEWEST_SAMPLES: f64 = 32.0;
/// A peak that loses more than this when every other sample is left out may well have lost a quarter
/// of it already: the loss goes with the square of the interval.
const MOST_PEAK_LOSS_RATIO: f64 = 0.02;
/// Harmonics above half of the rate whose folded lines are looked for.
const FOLDED: usize = 5;
/// A folded line is told from a harmonic only this far away from it, as a part of the mains
/// frequency: four lines of the Hann window.
const LEAST_DISTANCE_RATIO: f64 = 4.0 / PERIODS as f64;
/// Power of the folded lines against that at their mirror images on the other side of the harmonics,
/// and against the floor between harmonics; and the least line that matters.
const LEAST_POWER_RATIO: f64 = 25.0;
const LEAST_LINE_RATIO: f64 = 5e-4;

/// Looks at the end of the band: are there enough samples for a peak, were lines folded back?
///
/// # Formula
/// A harmonic of order h above half of the rate shows at |r − h f|: between harmonics, unless the rate
/// r is a multiple of the mains frequency f, when nobody can tell.
#[derive(Debug, Default)]
pub(in super::super) struct BandWatch {
    samples_a: Vec<f64>,
    periods: usize,
    start_s: f64,
    looks: usize,
    first_s: Option<f64>,
    period_samples: f64,
    peak_loss_ratio: f64,
    fundamental: f64,
    folded: [f64; FOLDED],
    mirrored: [f64; FOLDED],
    floor: f64,
    folded_looks: usize,
}

impl BandWatch {
    /// Takes the samples of one steady period, following the one before.
    pub(in super::super) fn add(&mut self, samples_a: &[f64], period_samples: f64, start_s: f64) {
        if self.looks >= MOST_LOOKS {
            return;
        }
        if self.periods == 0 {
            self.start_s = start_s;
        }
        self.samples_a.extend_from_slice(samples_a);
        self.periods += 1;
        self.period_samples += (period_samples - self.period_samples) / self.periods as f64;
        if self.periods == PERIODS {
            self.look();
            self.restart();
        }
    }

    /// What was taken does not go on.
    pub(in super::super) fn restart(&mut self) {
        self.samples_a.clear();
        self.periods = 0;
    }

    pub(in super::super) fn finish(self, rate_hz: f64) -> Vec<Event> {
        let mut events = Vec::new();
        let Some(start_s) = self.first_s else { return events };
        let samples_per_period = self.period_samples;
        let peak_loss_ratio = self.peak_loss_ratio / self.looks as f64;
        if samples_per_period < FEWEST_SAMPLES || peak_loss_ratio > MOST_PEAK_LOSS_RATIO {
            let kind = EventKind::RateTooLow { samples_per_period, peak_loss_ratio };
            events.push(Event { start_s, end_s: None, kind });
        }
        let folded: f64 = self.folded.iter().sum();
        let mirrored: f64 = self.mirrored.iter().sum();
        let floor = self.floor * FOLDED as f64;
        let strongest = (0..FOLDED).max_by(|a, b| self.folded[*a].total_cmp(&self.folded[*b]));
        if let Some(at) = strongest.filter(|_| self.folded_looks > 0) {
            let ratio = (self.folded[at] / self.fundamental).sqrt();
            let stands_out = folded > LEAST_POWER_RATIO * mirrored.max(floor);
            if stands_out && ratio > LEAST_LINE_RATIO {
                let order = first_folded(samples_per_period) + 2 * at;
                let line_hz =
                    (samples_per_period - order as f64).abs() * rate_hz / samples_per_period;
                let kind = EventKind::AliasingSuspected { line_hz, order, ratio };
                events.push(Event { start_s, end_s: None, kind });
            }
        }
        events
    }

    fn look(&mut self) {
        self.looks += 1;
        self.first_s.get_or_insert(self.start_s);
        let count = self.period_samples as usize;
        let losses = self.samples_a.chunks_exact(count.max(2)).map(peak_loss);
        let (sum, periods) = losses.fold((0.0, 0), |(sum, n), loss| (sum + loss, n + 1));
        self.peak_loss_ratio += sum / f64::from(periods.max(1));
        let p = self.period_samples;
        let beside = (p - p.round()).abs();
        if beside < LEAST_DISTANCE_RATIO || p < 8.0 {
            return;
        }
        self.folded_looks += 1;
        let power = |order: f64| line_power(&self.samples_a, TAU * order / p);
        self.fundamental += power(1.0);
        for at in 0..FOLDED {
            let order = p - (first_folded(p) + 2 * at) as f64;
            let mirror = 2.0 * order.round() - order;
            self.folded[at] += power(order.abs());
            self.mirrored[at] += power(mirror.abs());
        }
        // Between harmonics, in the upper half of the band: where nothing folded stands either.
        let places = (1..=8).map(|k| (0.25 * p + 0.03 * p * f64::from(k)).floor() + 0.5);
        self.floor += places.map(power).sum::<f64>() / 8.0;
    }
}

/// The lowest odd order above half of the rate.
fn first_folded(period_samples: f64) -> usize {
    let above = (0.5 * period_samples).floor() as usize + 1;
    above + usize::from(above.is_multiple_of(2))
}

/// Part of the peak that is lost without every other sample, for the worse half.
fn peak_loss(period_a: &[f64]) -> f64 {
    let peak = |from: usize, by: usize| {
        period_a.iter().skip(from).step_by(by).fold(0.0, |most: f64, a| most.max(a.abs()))
    };
    let all = peak(0, 1);
    if all > 0.0 { 1.0 - peak(0, 2).min(peak(1, 2)) / all } else { 0.0 }
}

/// Squared amplitude of the Hann-weighted line at ω.
fn line_power(samples_a: &[f64], omega: f64) -> f64 {
    let n = samples_a.len() as f64;
    let (mut re, mut im) = (0.0, 0.0);
    for (k, a) in samples_a.iter().enumerate() {
        let weight = 1.0 - (TAU * (k as f64 + 0.5) / n).cos();
        let (s, c) = (omega * k as f64).sin_cos();
        re += weight * a * c;
        im += weight * a * s;
    }
    (2.0 / n).powi(2) * (re * re + im * im)
}

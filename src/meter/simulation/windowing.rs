//! The stretch of the current that one reading is computed from.

use std::f64::consts::TAU;

use crate::meter::{Converter, Detector, Indication, Sheet, Window};

use super::chain::Arrived;
use super::sums::Sums;
use super::window_scan::Running;
use super::{Signal, WindowStart};

/// A window on the samples; without a place where it begins it stands for whole periods.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Windowed {
    /// The reading of the window chosen; `None` when it is that of whole periods.
    pub(super) chosen_a: Option<f64>,
    /// Where the window chosen begins, in samples.
    pub(super) start: Option<f64>,
    /// Length of the window, in samples.
    pub(super) length: f64,
    /// Lowest and highest reading a window can give.
    pub(super) span_a: Option<(f64, f64)>,
}

pub(super) fn of(
    sheet: &Sheet,
    signal: &Signal<'_>,
    arrived: &Arrived<'_>,
    start: WindowStart,
) -> Windowed {
    let Converter::Sampling { window: Window::Free { length_s }, .. } = sheet.converter else {
        return Windowed::default();
    };
    let length = length_s / signal.waveform.sample_interval_s();
    let at = match start {
        WindowStart::At { phase_rad } => {
            let turns = (phase_rad / TAU).rem_euclid(1.0);
            Some(turns * signal.waveform.samples_per_period() as f64)
        }
        _ => None,
    };
    let law = sheet.detector;
    let samples_a = arrived.samples_a.iter();
    let running = match law.indication() {
        Indication::TrueRms => Running::new(samples_a.map(|i_a| i_a * i_a), length),
        Indication::AverageScaledToRms => Running::new(samples_a.map(|i_a| i_a.abs()), length),
        // A window of a period or more holds the peak wherever it begins.
        Indication::PeakScaledToRms => {
            let start = if start == WindowStart::Anywhere { None } else { at.or(Some(0.0)) };
            return Windowed { start, length, ..Windowed::default() };
        }
    };
    let scan = running.scan();
    let read_a = |mean: f64| of_mean(law, mean, &arrived.noise);
    let (lowest_a, highest_a) = (read_a(scan.lowest), read_a(scan.highest));
    let chosen = match start {
        WindowStart::Anywhere => None,
        WindowStart::At { .. } => at.map(|at| (at, read_a(running.mean_from(at)))),
        WindowStart::Lowest => Some((scan.lowest_start as f64, lowest_a)),
        WindowStart::Highest => Some((scan.highest_start as f64, highest_a)),
    };
    Windowed {
        chosen_a: chosen.map(|(_, reading_a)| reading_a),
        start: chosen.map(|(start, _)| start),
        length,
        span_a: Some((lowest_a, highest_a)),
    }
}

/// The reading of a window whose mean square or mean magnitude is known.
fn of_mean(law: Detector, mean: f64, noise: &Sums) -> f64 {
    // Sums of squares that cancel may round below zero.
    let mean = mean.max(0.0);
    Sums { square_a2: mean, arv_a: mean, peak_a: 0.0 }.with(noise).read_a(law)
}

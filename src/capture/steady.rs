use std::collections::VecDeque;
use std::ops::Range;

/// A cycle counts as carrying current from this part of the largest cycle's RMS on.
const FLOWING_RATIO: f64 = 0.02;
/// A steady run must have this many cycles, unless the whole record is shorter.
const FEWEST_CYCLES: usize = 4;

/// Deviations of the last or first cycles from the median, in standard errors, from which they count as
/// not yet settled. Of runs of white noise, one in a hundred goes beyond and is cut a little.
const UNSETTLED_SIGMAS: f64 = 3.5;
/// Fewer cycles have no spread to speak of.
const FEWEST_TO_LEVEL: usize = 12;
/// Spread below which cycles are equal for every purpose, relative to their RMS.
const LEAST_SPREAD_RATIO: f64 = 1e-5;
/// A standard deviation is so many median absolute deviations, for a normal distribution.
const SIGMA_PER_MAD: f64 = 1.4826;

/// What the RMS of single cycles says about a stretch.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Steadiness {
    /// Steady from end to end, or too short to tell.
    Throughout,
    /// Steady in this part only, given in samples of the stretch.
    Part(Range<usize>),
    /// Nowhere steady for long enough.
    Nowhere,
}

/// The longest run of cycles whose RMS stays within `ratio` of the largest, but for noise.
///
/// The cycle next to an unsteady one is left out: a transient that ends in it may still be below the
/// limit. So are the cycles after it that are not level with the rest yet. Runs without current (before switching on) do not count.
pub(super) fn longest_steady(samples: &[f64], period_samples: f64, ratio: f64) -> Steadiness {
    let rms = cycle_rms(samples, period_samples);
    let Some(largest) = rms.iter().copied().reduce(f64::max) else { return Steadiness::Throughout };
    let least = FLOWING_RATIO * largest;
    let run = longest_run(&rms, ratio, noise_span(&rms, least), least);
    if run.len() == rms.len() {
        return Steadiness::Throughout;
    }
    if run.len() < FEWEST_CYCLES {
        return Steadiness::Nowhere;
    }
    let mut first = run.start;
    let mut end = run.end;
    if run.len() >= FEWEST_CYCLES + 2 {
        first += usize::from(run.start > 0);
        end -= usize::from(run.end < rms.len());
    }
    let level = &rms[first..end];
    let (early, late) = (unsettled(level.iter()), unsettled(level.iter().rev()));
    first += if run.start > 0 { early } else { 0 };
    end -= if run.end < rms.len() { late } else { 0 };
    let from = if first == 0 { 0 } else { (first as f64 * period_samples).ceil() as usize };
    let to = if end == rms.len() {
        samples.len()
    } else {
        ((end as f64 * period_samples).floor() as usize + 1).min(samples.len())
    };
    Steadiness::Part(from..to)
}

/// How many of the first values, a quarter of all at most, do not belong to the rest: where the mean of
/// the first so many stands farthest from the median, in its standard errors, if that is far.
fn unsettled<'a>(values: impl Iterator<Item = &'a f64>) -> usize {
    let all: Vec<f64> = values.copied().collect();
    if all.len() < FEWEST_TO_LEVEL {
        return 0;
    }
    let middle = median(all.clone());
    let spread = median(all.iter().map(|value| (value - middle).abs()).collect());
    let sigma = (SIGMA_PER_MAD * spread).max(LEAST_SPREAD_RATIO * middle.abs());
    let mut sum = 0.0;
    let mut worst = (0, UNSETTLED_SIGMAS);
    for (at, value) in all.iter().take(all.len() / 4).enumerate() {
        sum += value - middle;
        let off = f64::abs(sum) / (sigma * ((at + 1) as f64).sqrt());
        if off > worst.1 {
            worst = (at + 1, off);
        }
    }
    worst.0
}

/// The middle value; the upper one of two.
fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied().unwrap_or(0.0)
}

/// True RMS of consecutive cycles: trapezoids, linear at the broken ends.
pub(super) fn cycle_rms(samples: &[f64], period_samples: f64) -> Vec<f64> {
    if samples.is_empty() || period_samples < 2.0 {
        return Vec::new();
    }
    // Integral of the square from sample 0 to sample k.
    let mut integral = Vec::with_capacity(samples.len());
    let mut sum = 0.0;
    integral.push(sum);
    for pair in samples.windows(2) {
        sum += 0.5 * (pair[0] * pair[0] + pair[1] * pair[1]);
        integral.push(sum);
    }
    let up_to = |position: f64| {
        let k = (position as usize).min(samples.len() - 1);
        let part = position - k as f64;
        let here = samples[k];
        let there = samples.get(k + 1).map_or(here, |next| here + part * (next - here));
        integral[k] + 0.5 * part * (here * here + there * there)
    };
    let cycles = ((samples.len() - 1) as f64 / period_samples + 1e-6).floor() as usize;
    (0..cycles)
        .map(|c| {
            let from = c as f64 * period_samples;
            let area = up_to(from + period_samples) - up_to(from);
            (area.max(0.0) / period_samples).sqrt()
        })
        .collect()
}

/// The span that noise alone gives cycles of one RMS: that of so many normal values, 2 √(2 ln n) σ, with σ
/// from the bends between three neighbours (variance 6 σ²), which neither a step nor a ramp makes.
fn noise_span(rms: &[f64], least: f64) -> f64 {
    let flowing = rms.windows(3).filter(|three| three.iter().all(|value| *value >= least));
    let bends: Vec<f64> =
        flowing.map(|three| (three[0] - 2.0 * three[1] + three[2]).abs()).collect();
    if bends.len() < FEWEST_TO_LEVEL {
        return 0.0;
    }
    let likely = 2.0 * (2.0 * (bends.len() as f64).ln()).sqrt();
    likely * SIGMA_PER_MAD * median(bends) / 6.0_f64.sqrt()
}

/// The longest run with (max − min) ≤ ratio · max + noise and nothing below `least`; the first of
/// equals.
fn longest_run(values: &[f64], ratio: f64, noise: f64, least: f64) -> Range<usize> {
    let mut best = 0..0;
    let mut start = 0;
    // Places of the candidates for maximum and minimum of the run, best first.
    let (mut tops, mut lows) = (VecDeque::<usize>::new(), VecDeque::<usize>::new());
    for (at, value) in values.iter().enumerate() {
        if *value < least {
            start = at + 1;
            tops.clear();
            lows.clear();
            continue;
        }
        while tops.back().is_some_and(|k| values[*k] <= *value) {
            tops.pop_back();
        }
        while lows.back().is_some_and(|k| values[*k] >= *value) {
            lows.pop_back();
        }
        tops.push_back(at);
        lows.push_back(at);
        while let (Some(top), Some(low)) = (tops.front(), lows.front())
            && values[*top] - values[*low] > ratio.mul_add(values[*top], noise)
        {
            start += 1;
            if tops.front().is_some_and(|k| *k < start) {
                tops.pop_front();
            }
            if lows.front().is_some_and(|k| *k < start) {
                lows.pop_front();
            }
        }
        if at + 1 - start > best.len() {
            best = start..at + 1;
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: the median of the list is 10, the median deviation 0.1, so sigma 0.148; the first two
    /// deviate by 1.0 and 0.5, together 1.5/(0.148 √2) = 7.2 sigma, the first alone 6.7, three 6.3.
    #[test]
    fn exact_unsettled_beginning_told_by_hand() {
        let rest = [10.1, 9.9, 10.1, 9.9, 10.1, 9.9, 10.1, 9.9, 10.1, 9.9, 10.0, 10.0, 10.1, 9.9];
        let settling = [9.0, 9.5].into_iter().chain(rest).collect::<Vec<f64>>();
        assert_eq!(unsettled(settling.iter()), 2);
        assert_eq!(unsettled(rest.iter()), 0, "level throughout");
        assert_eq!(unsettled(settling.iter().rev()), 0, "the end is level");
        assert_eq!(unsettled([9.0, 9.5, 10.0, 10.0].iter()), 0, "too few to tell");
    }

    /// A ramp and a step bend nowhere, or once: no noise. Values that jump by ±a around a level bend by
    /// 4a each time: 2 √(2 ln 18) · 1.4826 · 4a/√6.
    #[test]
    fn exact_noise_is_what_bends() {
        let ramp: Vec<f64> = (0..20).map(|k| 5.0 + 0.25 * f64::from(k)).collect();
        assert!(noise_span(&ramp, 0.1) < 1e-12, "rounding");
        let step: Vec<f64> = (0..20).map(|k| if k < 9 { 4.0 } else { 6.0 }).collect();
        assert!(noise_span(&step, 0.1) < 1e-12, "rounding");
        let jumps: Vec<f64> =
            (0..20).map(|k| 5.0 + if k % 2 == 0 { 0.01 } else { -0.01 }).collect();
        let want = 2.0 * (2.0 * 18.0_f64.ln()).sqrt() * 1.4826 * 0.04 / 6.0_f64.sqrt();
        assert!((noise_span(&jumps, 0.1) / want - 1.0).abs() < 1e-9, "rounding");
        assert!(noise_span(&[5.0; 5], 0.1) <= 0.0, "too few to tell");
    }

    #[test]
    fn exact_longest_run_of_a_list_told_by_hand() {
        let values = [0.0, 0.0, 0.0, 9.0, 4.0, 4.1, 4.05, 4.0, 3.0, 3.0];
        assert_eq!(longest_run(&values, 0.05, 0.0, 0.1), 4..8, "4.0 to 4.1 is 2.4 % of 4.1");
        assert_eq!(longest_run(&values, 0.0, 0.0, 0.1), 8..10, "only equal values: 3.0 and 3.0");
        assert_eq!(longest_run(&[], 0.05, 0.0, 0.1), 0..0);
    }
}
